"""What an option costs for what it gives, its steps, and which is recommended."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.options.option import BROKEN_TIMES, TRIFLE_MINOR, Option, Proof, Worth
from haulm.advice.options.ranking import ranked, worth_telling
from haulm.advice.options.steps import Step, Terms, is_sold_as_plugs, order_days, step_of
from haulm.advice.options.worth import Costing, Gains
from haulm.advice.room import Room
from haulm.crop_library.costs import costs_in, kind_costs
from haulm.crop_library.library import library
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.costs import CostRules, KindCosts
from haulm.farm.words import Method, Weekday
from support.advice_builders import MONDAY, SITE, TODAY
from support.forecast_builders import GRASS

BEFORE = Proof((0.5, 0.5), 30.0)
GAINS = Gains((20, 40), (50.0, 50.0), BEFORE)
NORTH = Bed("north", "North", metres=40.0, width_cm=100.0)
SOWN = Batch("b", "grass", date(2027, 4, 5), Method.DIRECT, sown=100, bed="north", metres=4.0)


def option(kind: str, *, closes: bool = True, worth: Worth | None = None, places: int = 0, **changes: object) -> Option:
    made = Option(kind, kind, MONDAY, BEFORE, Proof((0.9, 0.9), 1.0), closes, worth=worth)
    batches = (replace(SOWN, sown=places, method=Method.PLUGS if kind == "plugs" else Method.DIRECT),) if places else ()
    return replace(made, batches=batches, **changes)  # type: ignore[arg-type]


def costing(net: int, *, gained: int = 1_000, surplus: int = 0) -> Worth:
    return Worth(net, 0, 0, 18.0, 18.0, gained, surplus, 0)


class TestWorth:
    def test_what_is_gained_is_the_stems_lacked_less_or_the_promises_that_become_sure_if_they_are_more(self) -> None:
        assert GAINS.worth(Proof((0.5, 0.5), 10.0)).gained_stems == 20
        assert GAINS.worth(Proof((1.0, 0.5), 29.0)).gained_stems == pytest.approx(10)

    def test_what_is_left_over_brings_little_and_no_more_than_is_asked_at_all(self) -> None:
        few, many = (GAINS.worth(Proof((0.9, 0.9), 6.0), gives=24.0 + more) for more in (10.0, 10_000.0))
        assert (few.surplus_stems, few.surplus_minor) == (10, 50)
        assert (many.surplus_stems, many.surplus_minor) == (10_000, 300)

    def test_all_that_it_costs_is_money_place_and_hours_less_what_is_left_over(self) -> None:
        found = GAINS.worth(Proof((0.9, 0.9), 6.0), spent=300, place=200, work=100, gives=34.0)
        assert found.net_minor == 300 + 200 + 100 - 50

    def test_nine_hundred_and_seventy_places_for_eighteen_stems_are_out_of_proportion(self) -> None:
        """Seed for 29.10 and thirty metres of bed for ten weeks, for promises of eighteen stems at a euro."""
        gains = Gains((20,) * 4, (100.0,) * 4, Proof((0.7,) * 4, 18.0))
        found = gains.worth(Proof((0.81,) * 4, 9.0), spent=970 * 3, place=30 * 10 * 15, gives=700.0)
        assert not found.is_in_proportion and found.is_plenty

    def test_two_stems_in_august_are_not_worth_a_tray_of_plugs(self) -> None:
        gains = Gains((20,), (60.0,), Proof((0.79,), 1.8))
        assert not gains.worth(Proof((0.85,), 1.2), spent=125 * 22, place=2_000, gives=1_800.0).is_in_proportion

    def test_what_costs_less_than_buying_in_the_same_stems_is_never_out_of_proportion(self) -> None:
        """Twenty stems sold at 0.50, kept for 10.60 that leaves plenty: buying them in costs 0.80 each."""
        before, after = Proof((0.0,), 20.0), Proof((0.8,), 1.0)
        alone, beside = (Gains((20,), (50.0,), before, bought) for bought in (0, 80))
        dear, told = (gains.worth(after, spent=60, place=1_100, gives=300.0) for gains in (alone, beside))
        assert dear.is_plenty and dear.is_dear and not dear.is_in_proportion
        assert (told.net_minor, told.bought_minor) == (1_060, 1_520) and told.is_dear and told.is_in_proportion
        cheap = Gains((20,), (50.0,), before, 55).worth(after, spent=60, place=1_100, gives=300.0)
        assert not cheap.is_in_proportion

    @given(net=st.integers(-500, 5_000), gained=st.integers(0, 1_000))
    def test_without_a_large_surplus_the_money_alone_decides(self, net: int, gained: int) -> None:
        assert costing(net, gained=gained).is_in_proportion == (net <= max(TRIFLE_MINOR, BROKEN_TIMES * gained))


class TestCosting:
    PLAIN = Costing(CostRules(), 0, {"grass": GRASS}, {"north": NORTH})

    def test_the_farms_own_price_of_seed_replaces_the_kinds(self) -> None:
        assert self.PLAIN.spent([SOWN]) == 100 * GRASS.costs.seed_minor
        assert replace(self.PLAIN, seed_minor_per_place=7).spent([SOWN]) == 700

    def test_plugs_and_tubers_have_prices_of_their_own(self) -> None:
        plugs, tubers = replace(SOWN, method=Method.PLUGS), replace(SOWN, method=Method.TUBER)
        own = replace(self.PLAIN, rules=CostRules(plug_minor=31, tuber_minor=90))
        assert (own.spent([plugs]), own.spent([tubers])) == (3_100, 9_000)
        assert self.PLAIN.spent([plugs]) == 100 * GRASS.costs.plug_minor

    def test_a_bed_is_worth_so_much_a_metre_and_week_for_as_long_as_the_batch_stands(self) -> None:
        room = Room((NORTH,), (), (), lambda batch: date(2027, 4, 5) + timedelta(days=69))
        own = replace(self.PLAIN, rules=CostRules(bed_metre_week_minor=20))
        assert own.place([SOWN], room) == 4.0 * 10 * 20

    def test_hours_count_only_where_the_farm_says_what_one_costs(self) -> None:
        assert self.PLAIN.work([SOWN]) == 0
        assert replace(self.PLAIN, rules=CostRules(work_minor_per_hour=2_000)).work([SOWN]) == pytest.approx(500)


class TestSteps:
    @given(places=st.floats(0.1, 4_000), step=st.integers(1, 200), times=st.integers(1, 4))
    def test_places_are_rounded_up_to_whole_steps_and_never_below_the_least(
        self, places: float, step: int, times: int
    ) -> None:
        found = Step(step, step * times).rounded(places)
        assert found % step == 0 and found >= step * times
        assert found >= places - 1e-6 and (found == step * times or found - step < places)

    def test_seed_comes_in_half_trays_and_metres_of_row_tubers_in_bags_plugs_in_trays_as_sold(self) -> None:
        crop = replace(GRASS, costs=KindCosts(tuber_bag=5, plug_tray=50, plug_least=120))
        assert step_of(crop, Method.HEATED, CostRules(), 104) == Step(52, 52)
        assert step_of(crop, Method.DIRECT, CostRules(), 104) == Step(5, 5)
        assert step_of(crop, Method.TUBER, CostRules(), 104) == Step(5, 5)
        assert step_of(crop, Method.PLUGS, CostRules(), 104) == Step(50, 150)
        assert step_of(crop, Method.PLUGS, CostRules(plug_tray=40, plug_least=40), 104) == Step(40, 40)

    def test_plugs_are_for_kinds_that_are_sold_so_or_that_the_farm_can_buy_or_has_bought(self) -> None:
        assert not is_sold_as_plugs(GRASS, CostRules(), [SOWN])
        assert is_sold_as_plugs(GRASS, CostRules(plug_kinds=("grass",)), [])
        assert is_sold_as_plugs(GRASS, CostRules(), [replace(SOWN, method=Method.PLUGS)])
        assert is_sold_as_plugs(replace(GRASS, costs=KindCosts(sold_as_plugs=True)), CostRules(), [])

    def test_what_is_ordered_is_ordered_on_a_working_day_and_not_once_it_is_too_late(self) -> None:
        terms = Terms(replace(SITE, work_days=(Weekday.TUE,)), TODAY, 100)
        by = terms.order_by(GRASS, Method.DIRECT, TODAY + timedelta(days=20))
        assert by == date(2027, 3, 23) and order_days(GRASS, Method.DIRECT, SITE.costs) == 7
        assert terms.order_by(GRASS, Method.DIRECT, TODAY + timedelta(days=3)) is None
        assert terms.order_by(GRASS, Method.PLUGS, TODAY + timedelta(days=20)) is None


class TestRecommended:
    def test_what_closes_comes_before_what_helps_and_that_before_buying_in_and_telling(self) -> None:
        found = ranked(
            [
                option("tell", closes=False),
                option("buy_in", closes=False),
                option("swap"),
                option("dried", closes=False),
            ]
        )
        assert [one.kind for one in found] == ["swap", "dried", "buy_in", "tell"]

    def test_seed_comes_before_plugs_and_these_before_asking_anybody_whatever_they_cost(self) -> None:
        found = ranked(
            [
                option("swap", worth=costing(0)),
                option("plugs", worth=costing(100), places=125),
                option("succession", worth=costing(900), places=50),
            ]
        )
        assert [one.kind for one in found] == ["succession", "plugs", "swap"]

    def test_of_two_sowings_the_cheaper_is_recommended_less_what_is_left_over(self) -> None:
        dear, cheap = (
            option("succession", worth=costing(900), places=40),
            option("succession", worth=costing(300), places=90),
        )
        assert ranked([dear, cheap])[0] is cheap

    def test_what_is_out_of_proportion_is_told_only_where_nothing_else_closes_the_gap(self) -> None:
        out = option("succession", worth=costing(9_000), places=970)
        assert worth_telling([out, option("substitute"), option("tell", closes=False)])[0].kind == "substitute"
        assert [one.kind for one in worth_telling([out, option("tell", closes=False)])] == ["tell", "succession"]

    def test_a_sowing_that_costs_less_than_buying_in_comes_before_it_whatever_it_leaves(self) -> None:
        sowing = replace(costing(1_060, gained=950, surplus=280), bought_minor=1_520)
        found = worth_telling(
            [option("buy_in", closes=False, worth=costing(1_600)), option("succession", worth=sowing, places=40)]
        )
        assert [one.kind for one in found] == ["succession", "buy_in"]

    def test_what_leaves_plenty_may_cost_no_more_than_the_stems_it_keeps_unless_it_is_a_trifle(self) -> None:
        few, plenty = 3 * 18, 3 * 18 + 1
        assert costing(1_001, surplus=few).is_in_proportion and not costing(1_001, surplus=plenty).is_in_proportion
        assert costing(1_000, surplus=plenty).is_in_proportion
        assert costing(TRIFLE_MINOR, gained=0, surplus=plenty).is_in_proportion


class TestActBy:
    def test_it_is_the_order_until_that_is_at_home_then_the_sowing_else_the_last_day(self) -> None:
        order, sow = MONDAY - timedelta(days=20), MONDAY - timedelta(days=10)
        plain = option("succession", places=40)
        assert plain.act_by == MONDAY
        assert replace(plain, sow_by=sow).act_by == sow
        assert replace(plain, sow_by=sow, order_by=order).act_by == order
        assert replace(plain, sow_by=sow, order_by=order, at_home=True).act_by == sow


class TestStartingFigures:
    def test_every_kind_of_the_library_has_a_row_that_says_where_it_comes_from(self) -> None:
        assert set(kind_costs()) <= set(library())
        assert all(costs.origin == "from memory" for costs in kind_costs().values())

    def test_kinds_that_are_hardly_sold_as_plugs_are_not(self) -> None:
        for key in ("bupleurum", "cornflower", "daucus_carota", "sunflower_single", "lagurus"):
            assert not kind_costs()[key].sold_as_plugs
        assert kind_costs()["lisianthus"].sold_as_plugs

    def test_what_is_planted_of_a_kind_has_its_own_word(self) -> None:
        said = {key: kind_costs()[key].planted_as for key in ("dahlia", "ranunculus", "tulip", "narcissus", "peony")}
        assert said == {
            "dahlia": "tuber",
            "ranunculus": "corm",
            "tulip": "bulb",
            "narcissus": "bulb",
            "peony": "crown",
        }

    def test_a_row_without_a_source_is_a_mistake(self) -> None:
        plugs = "sold_as_plugs,plug_minor,plug_tray,plug_least,plug_weeks"
        head = f"key,seed_minor,{plugs},tuber_minor,tuber_bag,planted_as,source"
        with pytest.raises(AssertionError, match="where it comes from"):
            costs_in(f"{head}\ngrass,3,no,,,,,,,,")
