"""What beside a sowing closes a gap, on farms of known stems where every answer can be worked out by hand.

Monday 14 June 2027 is today; cut days are Monday and Thursday, stems drink one day. Lagurus and phalaris are cream
textures, briza a green one; each keeps 4 days and stands 3. All due on Tuesday 15 June, unless said.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from haulm.advice.options.option import Option, Proof
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Choice, Product
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderKind, OrderStatus, Role
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.confidence import confidence, expected_missing
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from support.farms import customer, farm, known_stems, site, variety

TODAY = date(2027, 6, 14)
TUESDAY = date(2027, 6, 15)
FIRST, SECOND, THIRD = date(2027, 1, 1), date(2027, 2, 1), date(2027, 3, 1)
LAGURUS, BRIZA, PHALARIS = Product("lagurus"), Product("briza"), Product("phalaris")


def grass(key: str, colour: str = "cream") -> Any:
    """A texture that keeps 4 days and stands 3."""
    return variety(key, role=Role.TEXTURE, colour=colour, hold_days=4, stand_days=3, dry_days=14)


def asks(who: str, committed: date, stems: int = 20, *, due: date = TUESDAY, **line: Any) -> tuple[Order, OrderLine]:
    """An order of one line of lagurus."""
    kind, refused = line.pop("kind", OrderKind.ONE_OFF), line.pop("unacceptable", ())
    made = Order(who, who, kind, due, committed_on=committed, status=OrderStatus.CONTRACTED, unacceptable=refused)
    return made, OrderLine(f"{who}-1", who, stems, **{"product": LAGURUS, **line})


def farm_of(*orders: tuple[Order, OrderLine], notice: int = 1, **stems: int) -> Farm:
    """A farm whose customers want a day of notice, with stems ready today."""
    return farm(
        site=site(),
        batches=(),
        varieties=(grass("lagurus"), grass("briza", "green"), grass("phalaris")),
        customers=tuple(customer(order.customer, notice_days=notice) for order, _ in orders),
        orders=tuple(order for order, _ in orders),
        order_lines=tuple(line for _, line in orders),
        known_stems=tuple(
            known_stems(f"k-{key}", product=key, stems=count, ready="2027-06-14") for key, count in stems.items()
        ),
    )


def plan_and_ways(of: Farm, today: date = TODAY) -> tuple[Plan, dict[str, Option]]:
    """The plan, and the options of its one gap by kind."""
    plan = Planner().plan(of, today)
    (gap,) = plan.gaps(0.8)
    return plan, {option.kind: option for option in remedies(plan, gap)}


def ways(of: Farm, today: date = TODAY) -> dict[str, Option]:
    """The options of a farm's one gap, by kind."""
    return plan_and_ways(of, today)[1]


def says(result: MatchResult, line: str) -> Proof:
    """What a match says of one line."""
    (place,) = (place for place, found in enumerate(result.lines) if found.line == line)
    return Proof((confidence(result, place),), expected_missing(result, place))


ANNA_TAKES_BRIZA = asks("anna", FIRST, substitutes=(BRIZA,))
ANNA = asks("anna", FIRST)
BEN = asks("ben", SECOND)


class TestSwap:
    def test_whoever_named_a_substitute_can_take_it_and_the_swap_names_both(self) -> None:
        plan, found = plan_and_ways(farm_of(ANNA_TAKES_BRIZA, BEN, lagurus=20, briza=20))
        option = found["swap"]
        assert option.closes and [line.line for line in option.lines] == ["anna-1"] and option.product == BRIZA
        assert "Anna takes Briza for Lagurus" in option.sentence and "Ben (Tue 15 Jun 2027)" in option.sentence
        swapped = [
            replace(line, product=BRIZA, substitutes=(LAGURUS,)) if line.line == "anna-1" else line
            for line in plan.result.lines
        ]
        assert (
            says(match(swapped, plan.result.supply, plan.result.keeping), "ben-1") == option.after == Proof((1.0,), 0.0)
        )

    def test_nobody_swaps_into_stems_that_somebody_else_needs(self) -> None:
        cara = asks("cara", THIRD, product=BRIZA)
        assert "swap" not in ways(farm_of(ANNA_TAKES_BRIZA, BEN, cara, lagurus=20, briza=20))

    def test_nobody_swaps_who_named_no_substitute(self) -> None:
        assert "swap" not in ways(farm_of(ANNA, BEN, lagurus=20, briza=20))

    def test_a_swap_needs_notice(self) -> None:
        assert "swap" not in ways(farm_of(ANNA_TAKES_BRIZA, BEN, lagurus=20, briza=20, notice=2))


class TestSubstitute:
    def test_stems_of_the_same_role_and_colour_that_nobody_needs_are_offered(self) -> None:
        plan, found = plan_and_ways(farm_of(ANNA, BEN, lagurus=20, phalaris=20, briza=20))
        option = found["substitute"]
        assert option.closes and option.product == PHALARIS and [line.line for line in option.lines] == ["ben-1"]
        offered = [
            replace(line, substitutes=(PHALARIS,)) if line.line == "ben-1" else line for line in plan.result.lines
        ]
        assert says(match(offered, plan.result.supply, plan.result.keeping), "ben-1") == option.after

    def test_another_colour_is_not_offered(self) -> None:
        assert "substitute" not in ways(farm_of(ANNA, BEN, lagurus=20, briza=20))

    @pytest.mark.parametrize("refusal", [{"no_substitute": True}, {"unacceptable": ("phalaris",)}])
    def test_nothing_is_offered_where_the_customer_has_said_no(self, refusal: dict[str, Any]) -> None:
        ben = asks("ben", SECOND, **refusal)
        assert "substitute" not in ways(farm_of(ANNA, ben, lagurus=20, phalaris=20))

    def test_stems_that_a_later_line_needs_are_not_offered(self) -> None:
        cara = asks("cara", THIRD, product=PHALARIS)
        assert "substitute" not in ways(farm_of(ANNA, BEN, cara, lagurus=20, phalaris=20))

    def test_what_halves_the_gap_is_told_as_not_closing(self) -> None:
        wedding = asks("anna", FIRST, kind=OrderKind.WEDDING)
        option = ways(farm_of(wedding, BEN, lagurus=20, phalaris=12))["substitute"]
        assert not option.closes and option.after == Proof((0.0,), 8.0) and "8 stay missing" in option.sentence
        assert "substitute" not in ways(farm_of(wedding, BEN, lagurus=20, phalaris=9))

    def test_it_is_too_late_to_offer_once_the_notice_has_passed(self) -> None:
        assert "substitute" not in ways(farm_of(ANNA, BEN, lagurus=20, phalaris=20, notice=2))


class TestAskingSomebodyToDoWithout:
    def test_who_holds_the_stems_is_asked_with_notice(self) -> None:
        plan, found = plan_and_ways(farm_of(ANNA, BEN, lagurus=20))
        option = found["ask_later"]
        assert option.closes and [line.line for line in option.lines] == ["anna-1"]
        assert (
            "Anna to do without 20 stems of Lagurus on Tue 15 Jun 2027" in option.sentence
            and "1 day of notice" in option.sentence
        )
        without = [line for line in plan.result.lines if line.line != "anna-1"]
        assert says(match(without, plan.result.supply, plan.result.keeping), "ben-1") == option.after

    def test_the_last_in_the_order_of_those_who_can_help_is_asked_first(self) -> None:
        option = ways(farm_of(ANNA, asks("ben", SECOND), asks("cara", THIRD), lagurus=40))["ask_later"]
        assert [line.line for line in option.lines] == ["ben-1"]

    def test_whoever_comes_later_holds_nothing_that_helps(self) -> None:
        cara = asks("cara", THIRD, due=date(2027, 6, 22))
        of = farm_of(BEN, cara)
        later = known_stems("later", stems=20, ready="2027-06-21")
        assert "ask_later" not in ways(replace(of, known_stems=(later,)))

    def test_a_wedding_is_never_asked(self) -> None:
        wedding = asks("anna", FIRST, kind=OrderKind.WEDDING)
        assert "ask_later" not in ways(farm_of(wedding, BEN, lagurus=20))

    def test_nobody_is_asked_without_notice(self) -> None:
        assert "ask_later" not in ways(farm_of(ANNA, BEN, lagurus=20, notice=2))


class TestExtraCut:
    def test_stems_ready_between_the_cut_days_are_reached_by_one_more_cut(self) -> None:
        """Due on Thursday the 17th: Monday's cut serves, Thursday's has not drunk; stems are ready on Wednesday."""
        of = farm_of(asks("ben", SECOND, due=date(2027, 6, 17)))
        plan, found = plan_and_ways(replace(of, known_stems=(known_stems(stems=20, ready="2027-06-16"),)))
        option = found["move_cut"]
        assert option.closes and option.cut_days == (date(2027, 6, 16),) and option.decide_by == date(2027, 6, 16)
        more = replace(plan.result.keeping, extra_cut_days=frozenset(option.cut_days))
        assert says(match(plan.result.lines, plan.result.supply, more), "ben-1") == option.after

    def test_a_cut_that_is_past_is_not_proposed(self) -> None:
        of = farm_of(asks("ben", SECOND, due=date(2027, 6, 17)))
        stems = known_stems(stems=20, ready="2027-06-16")
        assert "move_cut" not in ways(replace(of, known_stems=(stems,)), date(2027, 6, 17))


class TestMoreOfOneKind:
    """One texture is there, and half of a line of twenty is the most that it may fill: nothing else makes it sure."""

    TEXTURE = Choice(roles=(Role.TEXTURE,), colours=("cream",))

    def test_the_half_that_keeps_a_choice_short_for_ever_is_named_and_asked_about(self) -> None:
        ben = asks("ben", SECOND, product=None, choice=self.TEXTURE)
        plan, found = plan_and_ways(farm_of(ben, lagurus=40))
        option = found["more_of_one"]
        assert option.before.sure == (0.0,) and option.closes and option.after == Proof((1.0,), 0.0)
        assert "Ask Ben by Mon 14 Jun 2027 whether one kind may fill more than half" in option.sentence
        lifted = [replace(line, max_each=20) for line in plan.result.lines]
        assert says(match(lifted, plan.result.supply, plan.result.keeping), "ben-1") == option.after

    def test_where_two_kinds_do_nobody_is_asked(self) -> None:
        short = asks("ben", SECOND, product=None, choice=self.TEXTURE)
        assert "more_of_one" not in ways(farm_of(short, lagurus=5, phalaris=5))

    def test_a_line_of_one_product_has_no_half(self) -> None:
        assert "more_of_one" not in ways(farm_of(BEN, lagurus=5))


class TestDried:
    def test_fresh_stems_that_nobody_needs_are_hung_in_time(self) -> None:
        dried = Product.parse("lagurus:dried")
        ben = asks("ben", SECOND, due=date(2027, 7, 20), product=dried)
        option = ways(replace(farm_of(ben, ANNA, lagurus=50)))["dried"]
        assert option.closes and option.product == dried and option.after == Proof((1.0,), 0.0)
        assert "Hang 20 stems" in option.sentence

    def test_stems_that_others_need_are_not_hung(self) -> None:
        ben = asks("ben", SECOND, due=date(2027, 7, 20), product=Product.parse("lagurus:dried"))
        assert "dried" not in ways(farm_of(ben, ANNA, lagurus=20))

    def test_nothing_is_hung_that_would_be_dry_too_late(self) -> None:
        ben = asks("ben", SECOND, due=date(2027, 6, 22), product=Product.parse("lagurus:dried"))
        assert "dried" not in ways(farm_of(ben, ANNA, lagurus=50))
