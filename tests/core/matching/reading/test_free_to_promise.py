"""What is left over, and how much of it may be promised."""

import random
from dataclasses import replace
from datetime import timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.products import Product
from haulm.farm.quantities import reaches
from haulm.matching.allocation.match import match
from haulm.matching.reading.confidence import confidence
from haulm.matching.reading.free_to_promise import (
    free_table,
    free_tables,
    free_to_promise,
    hope_level,
    still_free,
    sure_stems,
)
from haulm.matching.windows import Window
from support.random_farms import TODAY, random_farm
from support.small_match import AMMI, day, line, rules, standing, supply

WEIGHTS = (0.5, 0.3, 0.2)


def test_what_no_line_takes_is_left_over_season_by_season() -> None:
    result = match([line("a", 9, 6)], supply(standing({7: [10, 6, 3]}), weights=WEIGHTS), rules())

    assert still_free(result, AMMI, (Window(day(9)), Window(day(2)))).tolist() == [[4, 0, 0], [0, 0, 0]]


def test_what_only_an_earlier_line_can_use_is_kept_for_it() -> None:
    # Due on 14 only what is ready from 7 to 10 serves; the line due on 11 can move to what was ready on 5.
    result = match([line("a", 11, 6)], supply(standing({5: 4, 8: 5})), rules())

    assert free_to_promise(result, AMMI, day(14), 0.8) == 3
    assert free_to_promise(result, AMMI, day(11), 0.8) == 3


def test_free_to_promise_is_what_seasons_of_the_asked_weight_have_left() -> None:
    result = match([], supply(standing({7: [10, 6, 3]}), weights=WEIGHTS), rules())
    free = [free_to_promise(result, AMMI, day(9), p) for p in (0.5, 0.51, 0.8, 0.81, 1.0)]

    assert free == [10, 6, 6, 3, 3]


@given(st.floats(0.001, 0.999))
def test_what_may_be_hoped_for_is_never_less_than_what_is_promised(level: float) -> None:
    result = match([], supply(standing({7: [10, 6, 3]}), weights=WEIGHTS), rules())
    promise, hope = free_tables(result, [AMMI], [day(9)], (level, hope_level(level)))[:, 0, 0]

    assert hope >= promise and hope_level(level) <= level


def test_hope_is_at_sixty_percent_and_at_fifty_beside_a_promise_at_sixty_five_or_less() -> None:
    levels = (0.95, 0.8, 0.66, 0.65, 0.6, 0.5, 0.4)

    assert [hope_level(level) for level in levels] == [0.6, 0.6, 0.6, 0.5, 0.5, 0.5, 0.4]


def test_all_lengths_count_unless_one_is_asked() -> None:
    result = match(
        [], supply(standing({7: 4}, length_cm=30), standing({7: 3}, length_cm=50), standing({7: 2})), rules()
    )

    assert still_free(result, AMMI, (Window(day(9)),)).tolist() == [[9]]
    assert still_free(result, AMMI, (Window(day(9)),), min_length_cm=40).tolist() == [[3]]


def test_a_table_holds_what_each_cell_says_alone() -> None:
    result = match([line("a", 9, 6)], supply(standing({5: [9, 9, 0], 8: [10, 6, 3]}), weights=WEIGHTS), rules())
    dues = [day(number) for number in range(16)]
    table = free_table(result, (AMMI, Product("dill")), dues, 0.8)

    assert table.tolist() == [[free_to_promise(result, AMMI, due, 0.8) for due in dues], [0] * 16]
    assert table.any()


def test_at_several_levels_a_table_is_one_of_each_level() -> None:
    result = match([line("a", 9, 6)], supply(standing({5: [9, 9, 0], 8: [10, 6, 3]}), weights=WEIGHTS), rules())
    dues = [day(number) for number in range(16)]
    tables = free_tables(result, (AMMI,), dues, (0.2, 0.8, 1.0))

    assert len({str(table.tolist()) for table in tables}) == 3
    for table, level in zip(tables, (0.2, 0.8, 1.0), strict=True):
        assert np.array_equal(table, free_table(result, (AMMI,), dues, level))


@given(
    st.lists(st.tuples(st.integers(0, 9), st.integers(1, 5)), min_size=1, max_size=8),
    st.sampled_from([0.0, 0.1, 0.5, 0.8, 0.9, 1.0]),
)
def test_sure_stems_are_the_most_that_seasons_of_enough_weight_reach(seasons: list[tuple[int, int]], p: float) -> None:
    stems = np.array([[count for count, _ in seasons]], np.int32)
    weights = np.array([weight for _, weight in seasons], np.float64)
    weights /= weights.sum()
    reached = [n for n in set(stems[0].tolist()) if reaches(float(weights[stems[0] >= n].sum()), p)]

    assert sure_stems(stems, weights, p).tolist() == [max(reached)]


@given(st.integers(0, 10**6), st.sampled_from([0.3, 0.6, 0.9]))
def test_a_new_last_line_for_what_is_free_is_that_sure_and_for_one_more_is_not(seed: int, p: float) -> None:
    dice = random.Random(seed)
    farm = random_farm(dice, seasons=4)
    # A choice looks at all demand, so one more line may change its order of products.
    asks = [found for found in farm.lines if found.choice is None]
    result = match(asks, farm.supply, farm.keeping)
    product = dice.choice(list(farm.supply.by_product))
    due = TODAY + timedelta(days=dice.randint(0, 15))
    free = free_to_promise(result, product, due, p)
    plain = replace(line("z", 0, max(1, free), product=product), due=due, class_rank=99)

    if free:
        sure = match([*asks, plain], farm.supply, farm.keeping)
        assert reaches(confidence(sure, len(asks)), p)
    unsure = match([*asks, replace(plain, stems=free + 1)], farm.supply, farm.keeping)
    assert confidence(unsure, len(asks)) < p


def test_weights_that_do_not_quite_add_up_to_the_level_still_reach_it() -> None:
    result = match([], supply(standing({7: [4] * 9 + [0]}), weights=(0.1,) * 10), rules())

    assert free_to_promise(result, AMMI, day(9), 0.9) == 4
    assert free_to_promise(result, AMMI, day(9), 0.95) == 0
