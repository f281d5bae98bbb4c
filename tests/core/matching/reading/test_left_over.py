"""Stems left over, each counted once."""

import random
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match
from haulm.matching.pools.counting import Engine
from haulm.matching.reading.left_over import left_over
from haulm.matching.windows import Window
from support.random_farms import random_farm
from support.small_match import AMMI, day, line, rules, standing, supply

PLENTY = 1_000


def windows(*days: int) -> list[Window]:
    """Windows that many days after today."""
    return [Window(day(number)) for number in days]


def all_count(line: DatedLine) -> bool:
    """Every line keeps what it has."""
    return True


def test_a_stem_that_two_days_could_use_counts_on_the_first() -> None:
    # Ready on day 7, cut on 7 or 10: due 8 to 15.
    result = match([line("a", 9, 3)], supply(standing({7: 8})), rules())

    assert left_over(result, AMMI, windows(8, 12, 15), all_count).tolist() == [[5], [0], [0]]


def test_it_leaves_promised_stems_alone_whatever_the_day() -> None:
    result = match([line("a", 15, 3)], supply(standing({7: 8})), rules())

    assert left_over(result, AMMI, windows(8), all_count).tolist() == [[5]]


def test_what_lines_that_do_not_count_were_given_is_left_over_too() -> None:
    asks = [line("a", 9, 3), line("stall", 9, 4, wanted=LineClass.STALL)]
    result = match(asks, supply(standing({7: 8})), rules())

    found = left_over(result, AMMI, windows(9), lambda found: found.line_class is not LineClass.STALL)
    assert found.tolist() == [[5]]


@given(st.integers(0, 10**6))
def test_it_is_what_lines_without_end_would_get_by_another_way_of_counting(seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=2)
    # Choice lines look at what others ask of a product, so that the lines without end would turn them elsewhere.
    lines = [item for item in farm.lines if item.choice is None]
    product = sorted(farm.keeping.products)[0]
    days = windows(*range(0, 16, 3))
    asked = [endless(place, window, product) for place, window in enumerate(days)]
    judge = match([*lines, *asked], farm.supply, farm.keeping, engine=Engine.FLOW)

    found = left_over(match(lines, farm.supply, farm.keeping), product, days, all_count)
    assert found.tolist() == [judge.filled(judge.places[item]).tolist() for item in asked]


def endless(place: int, window: Window, product: Product) -> DatedLine:
    """A line that asks for more than there is, after everybody."""
    return DatedLine(f"z{place}", "z", "z", window.due, PLENTY, LineClass.STALL, 99, date.max, product)
