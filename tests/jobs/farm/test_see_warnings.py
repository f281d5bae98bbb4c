"""What is said of kinds at a place: of all that is grown, or of those named, which have to be the farm's."""

import pytest

from haulm.errors import NotFound
from haulm.farm.place_words import Place
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.see_warnings import see_warnings


def test_none_named_is_all_that_the_farm_grows(desk: Desk) -> None:
    both = see_warnings(desk, Place.HOME, ("lagurus", "nigella"))

    assert see_warnings(desk, Place.HOME) == both
    assert {name for one in both.warned for name in one.kinds} == {"Bunny tail", "Love-in-a-mist"}


def test_a_kind_that_is_named_is_the_only_one_told_of(desk: Desk) -> None:
    alone = see_warnings(desk, Place.HOME, ("nigella",))

    assert {name for one in alone.warned for name in one.kinds} == {"Love-in-a-mist"}
    assert alone.general == see_warnings(desk, Place.HOME).general


def test_a_kind_that_is_not_grown_is_refused(desk: Desk) -> None:
    with pytest.raises(NotFound, match="peony"):
        see_warnings(desk, Place.HOME, ("lagurus", "peony"))
