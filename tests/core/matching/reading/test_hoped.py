"""What hopes would get of the stems that no line was given."""

import random
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import filled
from haulm.matching.pools.counting import Engine
from haulm.matching.reading.hoped import HopedAsk, hoped
from haulm.matching.windows import Window
from support.random_farms import random_farm
from support.small_match import AMMI, day, kept, line, rules, standing, supply

ORLAYA = Product("orlaya")


def ask(due: int, stems: int, *products: Product, most_each: int | None = None) -> HopedAsk:
    """An ask due so many days after today; for ammi unless products are named."""
    return HopedAsk(Window(day(due)), stems, products or (AMMI,), most_each)


def test_a_hope_gets_what_no_line_was_given_and_no_more_than_it_asks() -> None:
    result = match([line("a", 9, 3)], supply(standing({7: [8, 4]}), weights=(0.5, 0.5)), rules())

    (takes,) = hoped(result, [ask(12, 4)])

    assert filled(takes, 2).tolist() == [4, 1]


def test_it_leaves_promised_stems_alone_though_it_is_due_before_them() -> None:
    result = match([line("a", 15, 3)], supply(standing({7: 8})), rules())

    (takes,) = hoped(result, [ask(8, 20)])

    assert filled(takes, 1).tolist() == [5]


def test_a_stem_is_hoped_for_once() -> None:
    result = match([], supply(standing({7: 8})), rules())

    first, second = hoped(result, [ask(8, 6), ask(12, 6)])

    assert (filled(first, 1).tolist(), filled(second, 1).tolist()) == ([6], [2])


def test_of_several_products_the_one_with_most_left_comes_first_up_to_its_limit() -> None:
    both = rules({AMMI: kept(), ORLAYA: kept()})
    result = match([], supply(standing({7: 5}), standing({7: 9}, ORLAYA)), both)

    (takes,) = hoped(result, [ask(9, 8, AMMI, ORLAYA, most_each=4)])

    assert [(result.pool(take).product, take.stems.tolist()) for take in takes] == [(ORLAYA, [4]), (AMMI, [4])]


@given(st.integers(0, 10**6))
def test_it_is_what_lines_at_the_end_of_the_strict_order_would_get_by_another_way_of_counting(seed: int) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=2)
    # Choice lines look at what others ask of a product, so that lines at the end would turn them elsewhere.
    lines = [item for item in farm.lines if item.choice is None]
    products = sorted(farm.keeping.products)
    asks = [ask(dice.randint(0, 15), dice.randint(1, 6), dice.choice(products)) for _ in range(5)]
    last = [at_the_end(place, one) for place, one in enumerate(asks)]
    judge = match([*lines, *last], farm.supply, farm.keeping, engine=Engine.FLOW)

    found = hoped(match(lines, farm.supply, farm.keeping), asks)

    assert [filled(takes, 2).tolist() for takes in found] == [judge.filled(judge.places[one]).tolist() for one in last]


def at_the_end(place: int, hope: HopedAsk) -> DatedLine:
    """A line that asks what a hope does, after everybody; those of one class stand in the order given."""
    return DatedLine(
        f"z{place}", "z", "z", hope.window.due, hope.stems, LineClass.STALL, 99 + place, date.max, hope.products[0]
    )
