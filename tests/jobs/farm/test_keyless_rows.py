"""Rows that have no key: entered, renamed by what they are, and days kept in their order."""

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked
from haulm.jobs.farm.keyless_rows import amend_row, enter_row, name_of, row_named
from support.desks import done


def enter(desk: Desk, collection: str, **values: object) -> str:
    return name_of(done(desk, lambda work: enter_row(desk, work, RowAsked(collection, values))))


def test_a_price_goes_by_what_it_is_for(desk: Desk) -> None:
    name = enter(desk, "prices", product="lagurus", customer="anna", price_minor=420)

    assert name == "lagurus|anna||"
    done(desk, lambda work: amend_row(desk, work, name, RowAsked("prices", {"customer": ""})))
    (row,) = desk.store.farm().prices
    assert (row.customer, row.price_minor) == (None, 420)


def test_two_of_the_same_name_are_refused_entered_or_renamed(desk: Desk) -> None:
    enter(desk, "recipes", piece="posy", role="focal", stems=3)
    other = enter(desk, "recipes", piece="posy", role="filler", stems=5)

    with pytest.raises(NotAccepted):
        enter(desk, "recipes", piece="posy", role="focal", stems=4)
    with pytest.raises(NotAccepted):
        done(desk, lambda work: amend_row(desk, work, other, RowAsked("recipes", {"role": "focal"})))

    assert [row.stems for row in desk.store.farm().recipes] == [3, 5]


def test_a_row_that_does_not_fit_the_farm_is_refused(desk: Desk) -> None:
    with pytest.raises(FolderRefused):
        enter(desk, "prices", product="lagurus", customer="nobody", price_minor=420)


def test_days_stand_in_their_order_in_the_store_too(desk: Desk) -> None:
    for day in ("2027-05-03", "2027-05-01", "2027-05-02"):
        enter(desk, "temperatures", date=day, min_c=4, max_c=12)

    assert [row.date.day for row in desk.store.farm().temperatures] == [1, 2, 3]


def test_a_name_that_is_nobodys_is_not_found(desk: Desk) -> None:
    for collection in ("prices", "barns"):
        with pytest.raises(NotFound):
            row_named(desk.store.farm(), collection, "none")


def test_rows_with_keys_go_the_usual_way(desk: Desk) -> None:
    assert enter(desk, "beds", key="pond", name="Pond") == "pond"
    done(desk, lambda work: amend_row(desk, work, "pond", RowAsked("beds", {"metres": 12})))
    assert desk.store.farm().beds[0].metres == 12
