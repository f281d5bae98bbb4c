"""The days of a gap: one function of its options; the way recommended stays as long as it is as good."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.advice.gap_days import Sowable, gap_days, identity, recommended, tell_by
from haulm.advice.options.option import Option, Proof, Worth
from haulm.advice.options.situation import Situation
from haulm.farm.batches import Batch
from haulm.farm.orders import Order
from haulm.farm.words import LineClass, Method, OrderKind
from support.advice_builders import MONDAY, SITE, TODAY, dated_line, one_gap

BEFORE = Proof((0.5,), 20.0)
SURE = Proof((0.9,), 1.0)
TRAY = 200
NO_SOWING = Sowable(None, None)


def way(kind: str, day: date, *, closes: bool = True, net: int = 1_000, variety: str = "grass") -> Option:
    sown = (Batch("b", variety, day, Method.DIRECT, sown=50),) if kind == "succession" else ()
    worth = Worth(net, 0, 0, 20.0, 20.0, 10_000, 0, 0)
    return Option(kind, kind, day, BEFORE, SURE if closes else None, closes, batches=sown, worth=worth)


def day(weeks: int) -> date:
    return TODAY + timedelta(weeks=weeks)


TELL = way("tell", day(12), closes=False)


class TestDays:
    def test_act_by_is_the_day_of_the_next_step_of_what_is_recommended(self) -> None:
        sowing = replace(way("succession", day(9)), order_by=day(3), sow_by=day(4))
        options = (sowing, way("succession", day(10), variety="other"), TELL)
        assert gap_days(options).act_by == day(3)
        assert gap_days((replace(sowing, at_home=True), *options[1:])).act_by == day(4)

    def test_where_nothing_closes_it_is_that_of_the_best_that_helps_and_else_the_day_to_tell(self) -> None:
        helps = way("succession", day(5), closes=False)
        assert gap_days((helps, TELL)).act_by == day(5)
        assert gap_days((TELL,)).act_by == gap_days((TELL,)).tell_by == day(12)

    def test_the_last_chance_is_of_the_farms_own_ground_and_store_and_the_last_way_of_others(self) -> None:
        options = (
            way("succession", day(4)), way("plugs", day(6)), way("move_cut", day(7)), way("swap", day(8)),
            way("ask_later", day(11)), way("buy_in", day(10), closes=False), TELL,
        )  # fmt: skip
        days = gap_days(options)
        assert (days.last_chance, days.last_way, days.tell_by) == (day(7), day(10), day(12))

    def test_what_does_not_close_it_is_no_chance(self) -> None:
        days = gap_days((way("succession", day(4), closes=False), way("substitute", day(5), closes=False), TELL))
        assert (days.last_chance, days.last_way) == (None, None)


class TestTheWayRecommended:
    def test_it_is_the_first_where_none_was(self) -> None:
        options = (way("succession", day(4)), way("plugs", day(6)), TELL)
        assert recommended(options, None) is options[0]

    def test_it_stays_though_another_stands_first_by_now(self) -> None:
        first, kept = way("succession", day(4), net=900), way("plugs", day(6), net=1_000)
        assert recommended((first, kept, TELL), identity(kept), tray_minor=TRAY) is kept

    @pytest.mark.parametrize(
        ("net", "kept_net", "changes"),
        [(801, 1_000, False), (800, 1_000, True), (300, 450, False), (250, 450, True), (8_001, 10_000, False)],
    )
    def test_it_gives_way_to_what_is_cheaper_by_a_fifth_and_by_a_tray(
        self, net: int, kept_net: int, changes: bool
    ) -> None:
        cheaper, kept = way("succession", day(4), net=net), way("plugs", day(6), net=kept_net)
        found = recommended((cheaper, kept, TELL), identity(kept), tray_minor=TRAY)
        assert found is (cheaper if changes else kept)

    def test_it_gives_way_where_it_is_gone_or_no_longer_closes(self) -> None:
        first, kept = way("swap", day(4)), way("plugs", day(6))
        assert recommended((first, TELL), identity(kept)) is first
        assert recommended((first, replace(kept, closes=False), TELL), identity(kept)) is first

    def test_it_is_known_again_whatever_its_day_and_size(self) -> None:
        one = way("succession", day(4))
        (batch,) = one.batches
        later = replace(one, decide_by=day(5), batches=(replace(batch, key="c", sow_date=day(5), sown=70, bed="n"),))
        assert identity(later) == identity(one) != identity(way("succession", day(4), variety="other"))


class TestTellBy:
    DUE = date(2027, 8, 7)

    def told(self, sowable: Sowable = NO_SOWING, *, today: date = TODAY, wedding: bool = True, **of: date) -> date:
        line_class = LineClass.WEDDING if wedding else LineClass.STANDING
        gap = one_gap([dated_line(due=self.DUE, line_class=line_class)])
        order = Order("o-l1", "anna", OrderKind.WEDDING, self.DUE, **of)  # type: ignore[arg-type]
        orders: Mapping[str, Order] = {order.key: order}
        situation = Situation(gap, BEFORE, today, {"anna": 3}, {}, {}, (60.0,), SITE)
        return tell_by(situation, sowable, orders)

    def test_a_florist_is_told_by_the_notice_she_asked_for(self) -> None:
        assert self.told(wedding=False) == self.DUE - timedelta(days=3)

    def test_a_wedding_is_told_the_day_its_last_sowing_passes(self) -> None:
        assert self.told(Sowable(day(8), day(6))) == day(8)
        assert self.told(Sowable(None, day(6))) == day(6)

    def test_and_always_before_final_numbers(self) -> None:
        numbers = day(7)
        assert self.told(Sowable(day(8), None), final_numbers_date=numbers) == numbers - timedelta(days=1)
        assert self.told(Sowable(day(3), None), final_numbers_date=numbers) == day(3)

    def test_one_contracted_after_its_last_sowing_is_told_four_weeks_before(self) -> None:
        passed = Sowable(None, day(2))
        assert self.told(passed, today=day(4), committed_on=day(3)) == self.DUE - timedelta(weeks=4)
        assert self.told(passed, today=day(4), committed_on=day(1)) == day(4)

    def test_a_day_that_has_passed_is_today(self) -> None:
        late = MONDAY + timedelta(weeks=4)
        assert self.told(wedding=False, today=self.DUE) == self.DUE
        assert self.told(today=late) == late
