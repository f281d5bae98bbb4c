"""A plan: what one farm value has to give on one day, and the seasons it is told in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from haulm.farm.beds import Spray
from haulm.farm.products import Product
from haulm.farm.site import ClassLevels, MonthlyTemperatures
from haulm.farm.snapshot import Farm
from haulm.farm.words import LineClass, Method, OrderKind
from haulm.matching.supply import IntArray, Pool
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.settled import Settled, pile_name
from support.farms import batch, known_stems, order, order_line, standing_line
from support.farms import site as plain_site
from support.planned_farms import DRAWING, TODAY, fills, growing_farm, growing_site, planned

GRASS = Product("lagurus")


class TestFarmsWithLittle:
    def test_an_empty_farm_has_an_empty_plan(self) -> None:
        plan = planned(Farm(plain_site()))
        assert plan.result.lines == plan.outlooks == plan.gaps(0.8) == ()
        assert plan.expected.sources == ()
        assert plan.joint("nobody") == 0.0

    def test_orders_on_a_farm_that_grows_nothing_are_short_of_everything(self) -> None:
        plan = planned(growing_farm(batches=()))
        assert {outlook.confidence for outlook in plan.outlooks} == {0.0}
        assert sum(gap.expected_missing for gap in plan.gaps(0.8)) == pytest.approx(430)

    def test_without_a_climate_there_is_no_forecast_but_counted_stems_are_matched(self) -> None:
        counted = known_stems(ready="2027-07-05", stems=50)
        plan = planned(growing_farm(site=plain_site(), known_stems=(counted,)))
        assert plan.growth.forecast is None and plan.growth.missing is not None
        assert sum(fills(plan)["weekly-1", date(2027, 7, 8), False]) == 40

    def test_in_the_south_a_spring_sowing_is_sown_in_september(self) -> None:
        months = plan_months(south_farm())
        assert {12, 1, 2} & months and not {6, 7, 8} & months


def south_farm() -> Farm:
    """The same weather half a year later."""
    north = growing_site().temperatures
    assert north is not None
    turned = MonthlyTemperatures(north.min_c[6:] + north.min_c[:6], north.max_c[6:] + north.max_c[:6])
    return growing_farm(
        site=growing_site(latitude=-52.0, temperatures=turned, frost=None),
        batches=(batch("b1", sow="2027-09-15", plants=60),),
    )


def plan_months(farm: Farm) -> set[int]:
    """Months in which some stem becomes ready."""
    plan = planned(farm, date(2027, 8, 1))
    ready = {lot.ready.month for pool in plan.result.supply.pools for lot in _busy_lots(pool)}
    assert ready
    return ready


def _busy_lots(pool: Pool) -> list:  # type: ignore[type-arg]
    return [lot for block in pool.blocks for lot, row in zip(block.lots, block.stems, strict=True) if row.mean() >= 1.0]


class TestSettled:
    def test_a_settled_line_asks_no_more_and_leaves_the_others_theirs(self) -> None:
        due = date(2027, 7, 15)
        plan = Planner(DRAWING).plan(growing_farm(), TODAY, lambda: Settled(frozenset({("weekly-1", due)})))
        assert ("weekly-1", due, False) not in fills(plan)
        assert len(plan.result.lines) == len(planned(growing_farm()).result.lines) - 1

    def test_stems_packed_out_of_a_count_are_gone(self) -> None:
        farm = growing_farm(batches=(), known_stems=(known_stems("k1", ready="2027-07-05", stems=50),))
        plan = Planner(DRAWING).plan(farm, TODAY, lambda: Settled(packed={(GRASS, "k1"): 35}))
        assert set(fills(plan)["weekly-1", date(2027, 7, 8), False]) == {15}

    def test_stems_packed_out_of_the_field_are_gone_and_never_more_than_there_were(self) -> None:
        before = planned(growing_farm())
        (pool,) = [pool for pool in before.result.supply.pools if pool.product == GRASS]
        (block,) = pool.blocks
        row = int(block.stems.sum(axis=1).argmax())
        settled = Settled(packed={(GRASS, pile_name(block.lots[row], pool.length_cm)): 6})
        after = Planner(DRAWING).plan(growing_farm(), TODAY, lambda: settled)
        assert ready_on(after, block.lots[row].ready) == np.maximum(block.stems[row] - 6, 0).tolist()
        other = block.lots[row - 1].ready
        assert ready_on(after, other) == ready_on(before, other)


def ready_on(plan: Plan, day: date, product: Product = GRASS) -> list[int]:
    """Field stems of a product that become ready on a day, in every season."""
    total = np.zeros(plan.result.supply.seasons, np.int64)
    for pool in plan.result.supply.pools:
        for block in pool.blocks if pool.product == product else ():
            for lot, row in zip(block.lots, block.stems, strict=True):
                total += row if lot.ready == day else 0
    return total.tolist()


class TestSprays:
    SPRAY = Spray("s1", "north", date(2027, 7, 10), date(2027, 7, 20))

    def test_a_bed_inside_its_waiting_time_gives_nothing_and_the_rest_as_before(self) -> None:
        before, after = planned(growing_farm()), planned(growing_farm(sprays=(self.SPRAY,)))
        days = [date(2027, 7, 1) + timedelta(days=n) for n in range(40)]
        for day in days:
            closed = self.SPRAY.date <= day <= self.SPRAY.wait_until
            assert ready_on(after, day) == ([0] * 200 if closed else ready_on(before, day))

    def test_another_bed_is_not_closed(self) -> None:
        elsewhere = replace(self.SPRAY, bed="south")
        day = date(2027, 7, 15)
        assert ready_on(planned(growing_farm(sprays=(elsewhere,))), day) == ready_on(planned(growing_farm()), day)


class TestSingleSeasons:
    @pytest.mark.parametrize(("share", "rank"), [(0.5, 100), (0.2, 40)])
    def test_a_season_has_given_by_any_day_what_that_share_of_seasons_has_not_passed(
        self, share: float, rank: int
    ) -> None:
        plan = planned(growing_farm(), seasons=199)
        many, one = (running(supply.pools) for supply in (plan.growth.supply, plan.growth.quantile_supply(share)))
        for day, given in one.items():
            assert given.tolist() == [sorted(many[day].tolist())[rank - 1]]

    def test_the_expected_season_gives_more_than_the_careful_one(self) -> None:
        plan = planned(growing_farm())
        assert plan.expected.result.filled_all().sum() > plan.careful.result.filled_all().sum() > 0

    def test_counted_stems_are_in_every_season(self) -> None:
        farm = growing_farm(batches=(), known_stems=(known_stems(ready="2027-07-05", stems=50),))
        plan = planned(farm)
        for season in (plan.expected, plan.careful):
            assert season.result.filled_all()[:, 0].tolist() == plan.result.filled_all()[:, 0].tolist()
            assert int(season.result.filled_all().sum()) == 50

    def test_what_feeds_a_line_adds_up_to_what_it_gets(self) -> None:
        season = planned(growing_farm()).expected
        for place, fed in enumerate(season.sources):
            assert sum(source.stems for source in fed) == int(season.result.filled(place)[0])


def running(pools: tuple[Pool, ...]) -> dict[date, IntArray]:
    """Field stems of the grass ready by each day, in every season, on days of July."""
    found = {}
    for day in (date(2027, 7, 1) + timedelta(days=n) for n in range(31)):
        blocks = [block for pool in pools if pool.product == GRASS for block in pool.blocks]
        rows = [row for block in blocks for lot, row in zip(block.lots, block.stems, strict=True) if lot.ready <= day]
        found[day] = np.sum(rows, axis=0)
    return found


class TestAnswers:
    def test_an_orders_joint_confidence_is_no_more_than_that_of_any_of_its_lines(self) -> None:
        extra = order_line("summer-2", order="summer", stems=60)
        plan = planned(growing_farm(order_lines=(*growing_farm().order_lines, extra)))
        each = [plan.outlook_of(line).confidence for line in plan.lines_of("summer")]
        assert len(each) == 2 and 0 < plan.joint("summer") <= min(each)

    def test_what_is_free_for_a_line_can_be_given_at_that_level_and_one_more_cannot(self) -> None:
        farm = growing_farm(standing_lines=(standing_line(stems=10),))
        asked = [
            order("stall", due="2027-07-22", kind=OrderKind.STALL),
            order_line("stall-1", order="stall", stems=1),
        ]
        base = replace(farm, orders=(asked[0],), order_lines=(asked[1],))
        plan = planned(base)
        (line,) = plan.lines_of("stall")
        free = plan.free_for_lines([line], 0.8)["stall-1"]
        assert free > 1
        for stems, enough in ((free + 1, True), (free + 2, False)):
            more = planned(replace(base, order_lines=(replace(asked[1], stems=stems),)))
            (line,) = more.lines_of("stall")
            assert (more.outlook_of(line).confidence >= 0.8 - 1e-9) is enough

    def test_gaps_hold_the_lines_below_the_level(self) -> None:
        plan = planned(growing_farm())
        inside = {short.line for gap in plan.gaps(0.8) for short in gap.shortfalls}
        assert inside == {o.line for o in plan.outlooks if o.confidence < 0.8 and not o.line.is_spare}

    def test_without_a_level_gaps_hold_the_lines_below_their_own(self) -> None:
        by_class = growing_site(levels=ClassLevels(wedding=0.95, standing=0.4))
        plan = planned(growing_farm(site=by_class))
        inside = {short.line for gap in plan.gaps(None) for short in gap.shortfalls}
        wanted = {LineClass.WEDDING: 0.95, LineClass.STANDING: 0.4}
        named = [o for o in plan.outlooks if not o.line.is_spare]
        assert {o.line.line_class for o in named} == set(wanted)
        assert inside == {o.line for o in named if o.confidence < wanted[o.line.line_class] - 1e-9}


def test_bought_plants_flower_before_seed_sown_that_day() -> None:
    """Weeks in the tray are already behind them."""
    day = date(2027, 5, 10)
    raised = batch("p", method=Method.PLUGS, sow_date=None, plant_out_date=day)
    sown = batch("p", method=Method.DIRECT, sow_date=day)
    first, second = (first_day(growing_farm(batches=(one,), orders=(), order_lines=())) for one in (raised, sown))
    assert first < second


def first_day(farm: Farm) -> date:
    return min(lot.ready for pool in planned(farm).result.supply.pools for lot in _busy_lots(pool))
