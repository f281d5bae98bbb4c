"""Who gets which stems: the rules, each on a match worked out by hand, and the laws that hold on any farm."""

import random
from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Choice, Product
from haulm.farm.varieties import Stage
from haulm.farm.words import Form, LineClass, Role
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import Block, Keeping, Lot, Pool, Supply
from support.random_farms import random_farm
from support.small_match import AMMI, day, kept, line, lots, rules, standing, supply

DILL, COSMOS = Product("dill"), Product("cosmos")
SEEDS = st.integers(0, 10**6)
WEDDING = LineClass.WEDDING


def fills(asks: list[DatedLine], what: Supply, under: Keeping | None = None) -> dict[str, list[int]]:
    """Stems of each line in each season."""
    result = match(asks, what, under or rules())
    return {found.line: result.filled(place).tolist() for place, found in enumerate(result.lines)}


def takes(result: MatchResult, key: str) -> dict[tuple[str, int], int]:
    """Stems of a line by product and length in the first season."""
    place = next(place for place, found in enumerate(result.lines) if found.line == key)
    pools = [(take, result.pool(take)) for take in result.takes[place]]
    return {(str(pool.product), pool.length_cm): result.stems_in(take, 0) for take, pool in pools}


class TestOrder:
    def test_an_earlier_class_is_served_first_even_when_it_is_due_later(self) -> None:
        # Ready on 7, cut on Monday 7 or Thursday 10: both lines could have all 10.
        asks = [line("florist", 9, 8), line("bride", 11, 6, wanted=WEDDING)]

        assert fills(asks, supply(standing({7: 10}))) == {"bride": [6], "florist": [4]}

    def test_an_earlier_line_leaves_alone_the_stems_that_only_a_later_one_can_use(self) -> None:
        # The bride can use both days; for the florist only Thursday 10 serves, and what was ready on 5 is over then.
        asks = [line("bride", 11, 5, wanted=WEDDING), line("florist", 14, 5)]

        assert fills(asks, supply(standing({5: 5, 8: 5}))) == {"bride": [5], "florist": [5]}

    def test_seasons_are_matched_each_for_itself(self) -> None:
        asks = [line("bride", 11, 6, wanted=WEDDING), line("florist", 9, 8)]

        assert fills(asks, supply(standing({7: [10, 3, 20]}), weights=(0.5, 0.25, 0.25))) == {
            "bride": [6, 3, 6],
            "florist": [4, 0, 8],
        }

    def test_a_line_without_any_pool_gets_nothing(self) -> None:
        assert fills([line("a", 9, 5, product=DILL)], supply(standing({7: 10}))) == {"a": [0]}


class TestSubstitutes:
    def test_a_stand_in_goes_only_to_a_line_whose_own_product_is_short_for_it(self) -> None:
        under = rules({AMMI: kept(), DILL: kept()})
        asks = [line("a", 9, 8, substitutes=(DILL,)), line("b", 9, 5, substitutes=(DILL, AMMI, DILL))]
        result = match(asks, supply(standing({7: 10}), standing({7: 2}, DILL)), under)

        assert takes(result, "a") == {("ammi", 0): 8}
        assert takes(result, "b") == {("ammi", 0): 2, ("dill", 0): 2}

    def test_substitutes_are_taken_in_their_order(self) -> None:
        under = rules({AMMI: kept(), DILL: kept(), COSMOS: kept()})
        pools = supply(standing({7: 1}), standing({7: 3}, DILL), standing({7: 3}, COSMOS))

        assert takes(match([line("a", 9, 5, substitutes=(COSMOS, DILL))], pools, under), "a") == {
            ("ammi", 0): 1,
            ("cosmos", 0): 3,
            ("dill", 0): 1,
        }


class TestLengths:
    def test_the_shortest_length_that_serves_is_taken_first(self) -> None:
        pools = supply(standing({7: 4}, length_cm=50), standing({7: 3}, length_cm=30), standing({7: 2}))

        assert takes(match([line("a", 9, 6)], pools, rules()), "a") == {
            ("ammi", 0): 2,
            ("ammi", 30): 3,
            ("ammi", 50): 1,
        }

    def test_a_least_length_passes_over_shorter_stems_and_those_of_no_stated_length(self) -> None:
        pools = supply(standing({7: 4}, length_cm=50), standing({7: 3}, length_cm=30), standing({7: 2}))

        assert takes(match([line("a", 9, 6, min_length_cm=40)], pools, rules()), "a") == {("ammi", 50): 4}


class TestMinimum:
    def test_a_line_that_cannot_reach_its_minimum_gets_none_and_leaves_it_to_the_next(self) -> None:
        asks = [line("a", 9, 12, minimum=11), line("b", 9, 10)]

        assert fills(asks, supply(standing({7: [10, 11]}), weights=(0.5, 0.5))) == {"a": [0, 11], "b": [10, 0]}

    def test_a_minimum_counts_what_all_pools_give_together(self) -> None:
        under = rules({AMMI: kept(), DILL: kept()})
        asks = [line("a", 9, 5, minimum=4, substitutes=(DILL,))]

        assert fills(asks, supply(standing({7: 2}), standing({7: 2}, DILL)), under) == {"a": [4]}


class TestChoice:
    UNDER = rules({AMMI: kept(), DILL: kept(), COSMOS: kept(role=Role.FOCAL)})
    CHOICE = Choice(roles=(Role.FILLER,))

    def ask(self, key: str, stems: int, **more: object) -> DatedLine:
        return line(key, 9, stems, product=None, choice=self.CHOICE, **more)

    def test_a_choice_takes_half_of_one_product_and_goes_on_to_the_next(self) -> None:
        pools = supply(standing({7: 9}), standing({7: 8}, DILL), standing({7: 99}, COSMOS))

        assert takes(match([self.ask("a", 7)], pools, self.UNDER), "a") == {("ammi", 0): 4, ("dill", 0): 3}

    def test_a_choice_starts_where_most_is_left_after_the_products_own_lines(self) -> None:
        # Ammi: 9 less 4 asked = 5; dill: 8 less 2 that are due when these stems serve, not the 9 that aren't = 6.
        pools = supply(standing({7: 9}), standing({7: 8}, DILL))
        own = [line("x", 9, 4), line("y", 11, 2, product=DILL), line("z", 25, 9, product=DILL)]

        assert takes(match([self.ask("a", 3), *own], pools, self.UNDER), "a") == {("dill", 0): 2, ("ammi", 0): 1}

    def test_demand_that_shares_only_empty_days_with_a_choice_is_no_rival(self) -> None:
        # Due on 14: ready 7 to 10. The choice can use 4 to 7; they share 7, when no dill is ready.
        pools = supply(standing({7: 5}), standing({5: 6, 7: 0, 9: 9}, DILL))
        own = [line("x", 14, 9, product=DILL)]

        assert takes(match([self.ask("a", 3), *own], pools, self.UNDER), "a") == {("dill", 0): 2, ("ammi", 0): 1}

    def test_ties_of_a_choice_go_by_key(self) -> None:
        pools = supply(standing({7: 9}, DILL), standing({7: 9}))

        assert takes(match([self.ask("a", 3)], pools, self.UNDER), "a") == {("ammi", 0): 2, ("dill", 0): 1}

    def test_the_most_of_one_product_counts_all_its_lengths_together(self) -> None:
        pools = supply(standing({7: 2}), standing({7: 9}, length_cm=30), standing({7: 1}, DILL))

        assert takes(match([self.ask("a", 9, max_each=3)], pools, self.UNDER), "a") == {
            ("ammi", 0): 2,
            ("ammi", 30): 1,
            ("dill", 0): 1,
        }


class TestKeeping:
    def test_a_stage_and_a_plain_line_share_a_crop_without_robbing_each_other(self) -> None:
        # Due on 8, so cut on Thursday 3 or Monday 7: young ones were ready on 2, 3, 6 or 7, the others on 5 too.
        stages = (Stage("young", "cream", 0, 1),)
        asks = [line("plain", 8, 6, wanted=WEDDING), line("young", 8, 6, stage="young")]

        assert fills(asks, supply(standing({5: 4, 7: 6})), rules({AMMI: kept(stages=stages)})) == {
            "plain": [6],
            "young": [4],
        }

    def test_cut_stock_and_standing_stems_serve_together(self) -> None:
        pool = lots({Lot(day(-2), day(-1)): 3, Lot(day(0)): 3})

        assert fills([line("a", 2, 9), line("b", 5, 9)], supply(pool)) == {"a": [6], "b": [0]}
        assert fills([line("a", 2, 2), line("b", 5, 9)], supply(pool)) == {"a": [2], "b": [3]}

    def test_dried_stems_serve_dried_lines_only(self) -> None:
        dried = Product("ammi", Form.DRIED)
        under = rules({AMMI: kept(), dried: kept()})
        asks = [line("fresh", 9, 5), line("dried", 9, 5, product=dried)]

        assert fills(asks, supply(standing({-300: 7}, dried)), under) == {"dried": [5], "fresh": [0]}

    def test_one_cut_day_a_week_leaves_what_goes_over_in_between(self) -> None:
        under = rules({AMMI: kept(hold=6, stand=2)}, cut=(1,))

        assert fills([line("a", 12, 99)], supply(standing(dict.fromkeys(range(14), 1))), under) == {"a": [3]}


class TestLaws:
    @given(SEEDS)
    def test_the_order_of_lines_pools_and_lots_changes_nothing(self, seed: int) -> None:
        dice = random.Random(seed)
        farm = random_farm(dice, seasons=3)
        mixed = dice.sample(farm.lines, len(farm.lines))
        pools = [shuffled(pool, dice) for pool in dice.sample(farm.supply.pools, len(farm.supply.pools))]
        other = match(mixed, replace(farm.supply, pools=tuple(pools)), farm.keeping)

        assert np.array_equal(match(farm.lines, farm.supply, farm.keeping).filled_all(), other.filled_all())

    @given(SEEDS)
    def test_a_line_at_the_end_of_the_order_takes_nothing_from_anybody(self, seed: int) -> None:
        farm = random_farm(random.Random(seed), seasons=3)
        # A choice looks at all demand, so one more line may change its order of products.
        asks = [found for found in farm.lines if found.choice is None]
        late = replace(farm.lines[0], line="z", class_rank=99, stems=5, minimum=0)

        before = match(asks, farm.supply, farm.keeping).filled_all()
        after = match([*asks, late], farm.supply, farm.keeping).filled_all()
        assert np.array_equal(before, after[:-1])

    @given(SEEDS)
    def test_more_stems_never_give_the_first_lines_together_less(self, seed: int) -> None:
        dice = random.Random(seed)
        farm = random_farm(dice, seasons=3)
        asks = [replace(found, minimum=0, substitutes=()) for found in farm.lines if found.choice is None]
        grown = list(farm.supply.pools)
        place = dice.randrange(len(grown))
        grown[place] = replace(grown[place], blocks=tuple(more(block, dice) for block in grown[place].blocks))

        before = match(asks, farm.supply, farm.keeping).filled_all()
        after = match(asks, replace(farm.supply, pools=tuple(grown)), farm.keeping).filled_all()
        assert (np.cumsum(after, axis=0) >= np.cumsum(before, axis=0)).all()

    @given(SEEDS)
    def test_many_seasons_at_once_are_each_season_alone(self, seed: int) -> None:
        farm = random_farm(random.Random(seed), seasons=3)
        asks = [found for found in farm.lines if found.choice is None]
        together = match(asks, farm.supply, farm.keeping).filled_all()

        for season in range(3):
            alone = tuple(
                Pool(pool.product, pool.length_cm, tuple(only(block, season) for block in pool.blocks))
                for pool in farm.supply.pools
            )
            found = match(asks, Supply(alone, 1, np.ones(1)), farm.keeping).filled_all()
            assert np.array_equal(together[:, season], found[:, 0])

    @given(SEEDS)
    def test_nobody_gets_more_than_asked_or_some_of_less_than_the_minimum(self, seed: int) -> None:
        farm = random_farm(random.Random(seed), seasons=3)
        result = match(farm.lines, farm.supply, farm.keeping)

        for place, found in enumerate(result.lines):
            got = result.filled(place)
            assert ((got == 0) | (got >= found.minimum)).all() and (got <= found.stems).all() and (got >= 0).all()


def shuffled(pool: Pool, dice: random.Random) -> Pool:
    """The same pool with its lots in another order."""
    blocks = []
    for block in pool.blocks:
        order = dice.sample(range(len(block.lots)), len(block.lots))
        blocks.append(Block(tuple(block.lots[place] for place in order), block.stems[order]))
    return replace(pool, blocks=tuple(blocks[::-1]))


def more(block: Block, dice: random.Random) -> Block:
    """The same lots with a few stems more."""
    extra = [[dice.randint(0, 2) for _ in range(block.stems.shape[1])] for _ in block.lots]
    return Block(block.lots, block.stems + np.array(extra, np.int32).reshape(block.stems.shape))


def only(block: Block, season: int) -> Block:
    """One season of a block."""
    return Block(block.lots, block.stems[:, [season % block.stems.shape[1]]])
