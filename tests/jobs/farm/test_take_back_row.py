"""A row taken back is as if it had never been entered, and put back it is as it was."""

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.farm.take_back_row import put_back_row, take_back_row
from support.desks import done

VALUES = {"key": "y1", "year": 2025, "variety": "lagurus", "stems": 480, "plants": 100, "note": "a dry year"}


def entered(desk: Desk) -> None:
    done(desk, lambda work: add_row(desk, work, RowAsked("past_years", VALUES)))


def test_taken_back_and_put_back_it_is_as_it_was(desk: Desk) -> None:
    before = desk.store.farm().past_years
    entered(desk)
    with_it = desk.store.farm().past_years

    row = done(desk, lambda work: take_back_row(work, "past_years", "y1"))
    assert (row,) == with_it and desk.store.farm().past_years == before == ()
    done(desk, lambda work: put_back_row(desk, work, "past_years", "y1"))
    assert desk.store.farm().past_years == with_it


def test_what_was_never_entered_is_neither_taken_nor_put_back(desk: Desk) -> None:
    with pytest.raises(NotFound):
        done(desk, lambda work: take_back_row(work, "past_years", "y9"))
    with pytest.raises(NotFound, match="past year"):
        done(desk, lambda work: put_back_row(desk, work, "past_years", "y9"))


def test_what_stands_is_not_put_back_a_second_time(desk: Desk) -> None:
    entered(desk)
    done(desk, lambda work: take_back_row(work, "past_years", "y1"))
    done(desk, lambda work: put_back_row(desk, work, "past_years", "y1"))

    with pytest.raises(NotAccepted, match="y1"):
        done(desk, lambda work: put_back_row(desk, work, "past_years", "y1"))
    assert len(desk.store.farm().past_years) == 1
