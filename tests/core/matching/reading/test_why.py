"""Why a line is short."""

import random

from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.products import Choice, Product
from haulm.farm.words import LineClass, Role
from haulm.matching.allocation.match import match
from haulm.matching.reading.why import HeldStems, why
from haulm.matching.windows import window_of
from support.random_farms import random_farm
from support.small_match import AMMI, day, kept, line, rules, standing, supply

WEDDING = LineClass.WEDDING


def test_a_short_line_names_the_earlier_lines_that_hold_its_stems() -> None:
    asks = [line("bride", 11, 7, wanted=WEDDING), line("florist", 9, 5)]
    shortage = why(match(asks, supply(standing({7: 8})), rules()), 1)

    assert (shortage.missing, shortage.could_have, shortage.below_minimum) == (4, 1, False)
    assert [(item.stems, item.could_have, item.held) for item in shortage.used_up] == [(8, 1, (HeldStems(0, 7),))]


def test_the_lots_reach_as_far_as_the_lines_that_hold_them_could_move() -> None:
    # The florist can use 8 only; the bride holds some of it because 5 is used up as well.
    asks = [line("bride", 11, 7, wanted=WEDDING), line("florist", 14, 5)]
    found = why(match(asks, supply(standing({5: 4, 8: 5})), rules()), 1).used_up[0]

    assert [lot.ready for lot in found.lots] == [day(5), day(8)]
    assert (found.stems, found.could_have, found.held) == (9, 2, (HeldStems(0, 7),))


def test_a_line_with_nothing_in_the_field_for_it_is_held_up_by_nobody() -> None:
    shortage = why(match([line("a", 9, 5)], supply(standing({20: 8})), rules()), 0)

    assert (shortage.missing, shortage.could_have, shortage.used_up) == (5, 0, ())


def test_a_line_below_its_minimum_says_what_it_could_have_had() -> None:
    shortage = why(match([line("a", 9, 5, minimum=4)], supply(standing({7: 3})), rules()), 0)

    assert (shortage.missing, shortage.could_have, shortage.below_minimum) == (5, 3, True)


def test_a_filled_line_lacks_nothing() -> None:
    shortage = why(match([line("a", 9, 5)], supply(standing({7: 8})), rules()), 0)

    assert (shortage.missing, shortage.used_up) == (0, ())


def test_substitutes_are_explained_too() -> None:
    under = rules({AMMI: kept(), Product("dill"): kept()})
    asks = [line("a", 9, 9, substitutes=(Product("dill"),))]
    shortage = why(match(asks, supply(standing({7: 3}), standing({7: 2}, Product("dill"))), under), 0)

    assert [(str(item.product), item.stems, item.could_have) for item in shortage.used_up] == [
        ("ammi", 3, 3),
        ("dill", 2, 2),
    ]


def test_a_choice_that_takes_no_more_of_one_product_says_so() -> None:
    under = rules({AMMI: kept(), Product("dill"): kept()})
    asks = [line("a", 9, 9, product=None, choice=Choice((Role.FILLER,)), max_each=4)]
    shortage = why(match(asks, supply(standing({7: 30}), standing({7: 2}, Product("dill"))), under), 0)

    assert (shortage.missing, shortage.could_have) == (3, 6)
    assert [(str(item.product), item.stems) for item in shortage.at_limit] == [("ammi", 4)]
    assert [(str(item.product), item.stems) for item in shortage.used_up] == [("dill", 2)]


@given(st.integers(0, 10**6))
def test_every_explanation_is_a_proof(seed: int) -> None:
    farm = random_farm(random.Random(seed), seasons=2)
    result = match(farm.lines, farm.supply, farm.keeping)
    for place in range(len(result.lines)):
        shortage = why(result, place, 1)
        assert shortage.missing == result.lines[place].stems - result.filled(place)[1]
        if not shortage.below_minimum and shortage.missing and shortage.could_have >= result.lines[place].minimum:
            assert shortage.could_have == result.filled(place)[1]
        parts = [item.could_have for item in shortage.used_up] + [item.stems for item in shortage.at_limit]
        assert shortage.could_have == sum(parts) or not shortage.missing
        for found in shortage.used_up:
            assert found.stems == sum(found.lot_stems)
            spot = farm.supply.by_product[found.product]
            pool = next(item for item in spot if farm.supply.pools[item].length_cm == found.length_cm)
            assert found.stems == found.could_have + sum(held.stems for held in found.held)
            holders = [window_of(result.lines[held.line]) for held in found.held]
            for window in (*holders, window_of(result.lines[place])):
                mask = result.candidates.acceptance.mask(pool, window).tolist()
                rows = zip(farm.supply.pools[pool].lots, farm.supply.pools[pool].season(1), mask, strict=True)
                assert {lot for lot, stems, usable in rows if usable and stems} <= set(found.lots)
            assert all(held.line < place for held in found.held)
