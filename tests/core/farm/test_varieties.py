"""How long a ready stem may be cut where it stands, and in which stages."""

from datetime import date

import pytest

from haulm.farm.varieties import FieldLife, Stage
from support.forecast_builders import crop

YOUNG, MATURE = Stage("young", "cream", 0, 2), Stage("mature", "tan", 3, 9)
LIFE = FieldLife(5, (YOUNG, MATURE))


def test_a_stem_stands_from_the_day_it_is_ready_to_its_last_day() -> None:
    assert list(LIFE.ages()) == [0, 1, 2, 3, 4, 5]
    assert LIFE.last_day(date(2027, 7, 1)) == date(2027, 7, 6)
    assert LIFE.oldest(date(2027, 7, 6)) == date(2027, 7, 1)


def test_a_stage_ends_where_its_stems_go_over() -> None:
    assert list(LIFE.ages(YOUNG)) == [0, 1, 2]
    assert list(LIFE.ages(MATURE)) == [3, 4, 5]
    assert not FieldLife(2, (MATURE,)).ages(MATURE)


def test_a_stage_is_known_by_its_name() -> None:
    assert LIFE.stage("mature") == MATURE
    assert LIFE.stage("over") is None


def test_a_crop_says_its_own_field_life() -> None:
    assert crop(stand_days=5, stages=(YOUNG, MATURE)).field_life == LIFE


def test_no_stem_goes_over_before_it_is_ready() -> None:
    with pytest.raises(AssertionError):
        FieldLife(-1)
