"""Erasing somebody ends the links as well, and names nobody who is not there."""

import pytest

from haulm.errors import NotFound
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.florists.forget_person import forget_person
from support.desks import done


def test_links_are_ended_with_the_name(desk: Desk) -> None:
    done(desk, lambda work: forget_person(work, "anna"))

    assert link_number(desk, "anna") > 0
    assert [one.name for one in desk.store.farm().customers] == ["anna", "Bram's corner"]
    assert [one.email for one in desk.store.farm().customers] == [None, None]


def test_nobody_of_that_key_changes_nothing(desk: Desk) -> None:
    version = desk.store.version()
    with pytest.raises(NotFound):
        done(desk, lambda work: forget_person(work, "nobody"))

    assert desk.store.version() == version
