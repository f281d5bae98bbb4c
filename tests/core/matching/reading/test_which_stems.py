"""Which lots feed a line."""

import random
from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from haulm.demand.dated_line import DatedLine
from haulm.farm.words import LineClass
from haulm.matching.allocation.match import match
from haulm.matching.reading.which_stems import sources
from haulm.matching.supply import Lot, Supply
from support.random_farms import random_farm
from support.small_match import MONDAY, day, line, lots, rules, standing, supply

WEDDING, SPARE = LineClass.WEDDING, LineClass.SPARE


def fed(asks: list[DatedLine], what: Supply) -> dict[str, dict[int, int]]:
    """Stems of each line by ready day."""
    result = match(asks, what, rules())
    found: dict[str, dict[int, int]] = {}
    for ask, items in zip(result.lines, sources(result), strict=True):
        found[ask.line] = {(item.lot.ready - MONDAY).days: item.stems for item in items}
    return found


def test_a_wedding_takes_the_freshest_and_a_florist_the_oldest() -> None:
    asks = [line("bride", 11, 5, wanted=WEDDING), line("florist", 11, 5)]

    assert fed(asks, supply(standing({4: 4, 6: 4, 9: 4}))) == {"bride": {6: 1, 9: 4}, "florist": {4: 4, 6: 1}}


def test_the_spare_of_a_wedding_takes_the_oldest() -> None:
    asks = [line("bride", 11, 4, wanted=WEDDING), line("spare", 11, 1, wanted=SPARE, is_spare=True)]

    assert fed(asks, supply(standing({4: 4, 9: 6}))) == {"bride": {9: 4}, "spare": {4: 1}}


def test_the_first_wedding_chooses_before_the_second() -> None:
    asks = [line("early", 11, 4, wanted=WEDDING, order="a"), line("late", 11, 4, wanted=WEDDING, order="b")]

    assert fed(asks, supply(standing({6: 6, 9: 6}))) == {"early": {9: 4}, "late": {6: 2, 9: 2}}


def test_a_wedding_leaves_the_freshest_where_another_line_can_use_nothing_else() -> None:
    # Due on 14 nothing but 8 serves.
    asks = [line("bride", 11, 5, wanted=WEDDING), line("florist", 14, 3)]

    assert fed(asks, supply(standing({5: 5, 8: 5}))) == {"bride": {5: 3, 8: 2}, "florist": {8: 3}}


def test_a_line_that_makes_room_for_a_wedding_moves_only_where_the_wedding_leaves_room() -> None:
    # Due on 14 neither 4 nor 5 serves: the florist moves from 10 to 8, so the bride's other stems stay on 5.
    asks = [line("bride", 11, 6, wanted=WEDDING), line("florist", 14, 3)]

    assert fed(asks, supply(standing({5: 3, 8: 3, 10: 3}))) == {"bride": {5: 3, 10: 3}, "florist": {8: 3}}


def test_lots_of_one_ready_date_go_standing_first_then_by_cut_date_and_key() -> None:
    pool = lots({Lot(day(-1), day(-1), key="b"): 1, Lot(day(-1)): 1, Lot(day(-1), day(-1), key="a"): 1})
    result = match([line("a", 3, 2)], supply(pool), rules())

    assert [(item.lot.cut, item.lot.key) for item in sources(result)[0]] == [(None, ""), (day(-1), "a")]


@given(st.integers(0, 10**6))
def test_sources_add_up_to_every_fill_and_take_no_stem_twice(seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=3)
    result = match(farm.lines, farm.supply, farm.keeping)
    found = sources(result, 2)
    used = Counter[tuple[str, int, Lot]]()
    for items in found:
        for item in items:
            used[str(item.product), item.length_cm, item.lot] += item.stems

    assert [sum(item.stems for item in items) for items in found] == result.filled_all()[:, 2].tolist()
    for pool in farm.supply.pools:
        for lot, stems in zip(pool.lots, pool.season(2), strict=True):
            assert used[str(pool.product), pool.length_cm, lot] <= stems
