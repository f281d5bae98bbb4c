"""The large farm of the benchmarks: its size is the one asked for, and it is the same farm every time."""

from datetime import date

import pytest

from haulm.demand.precedence import demand
from haulm.farm_folder.reader import read_texts
from haulm.farm_folder.writer import folder_texts
from support.large_farm import large_farm

BEFORE_THE_SEASON = date(2027, 3, 15)


@pytest.mark.parametrize(("batches", "lines"), [(250, 15000), (20, 1234), (3, 7)])
def test_it_has_as_many_batches_and_dated_lines_as_asked(batches: int, lines: int) -> None:
    farm = large_farm(batches, lines)

    assert len(farm.batches) == batches
    assert len(demand(farm, BEFORE_THE_SEASON)) == lines


def test_two_calls_give_the_same_farm() -> None:
    assert large_farm(40, 2000) == large_farm(40, 2000)


def test_it_is_a_farm_that_a_folder_can_carry() -> None:
    farm = large_farm(40, 2000)

    assert read_texts(folder_texts(farm)) == farm
