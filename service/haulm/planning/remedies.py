"""What can still close a gap of a plan: the pure options of advice, fed with proofs from real matches."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from haulm.advice.gap_days import GapDays, Sowable, gap_days, last_chance, recommended, tell_by
from haulm.advice.options.last_resorts import buying_in, telling
from haulm.advice.options.need import need_of
from haulm.advice.options.option import Option
from haulm.advice.options.ranking import closes_for_good, is_from_seed, worth_telling
from haulm.advice.options.situation import Situation
from haulm.advice.room import tray_size
from haulm.advice.shortfalls import Gap
from haulm.farm.words import Form
from haulm.planning.other_ways import other_ways
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import own_products, proof_of, stem_prices
from haulm.planning.sowings import sowings_for

_DRIED_KEEPS = 365
"""Dried stems that keep for good are bought once [d]."""


def remedies(plan: Plan, gap: Gap) -> tuple[Option, ...]:
    """The options of a gap that can still help, the recommended one first.

    They are worked out once for a plan and a gap.
    """
    return plan.remembered_options.of(gap, lambda: _worked_out(plan, gap))


def days_of(plan: Plan, gap: Gap, before: str | None = None) -> GapDays:
    """The days of a gap, worked out of all its options.

    Args:
        plan: the plan.
        gap: one of its gaps.
        before: what the way recommended before is; None: none was.
    """
    return gap_days(remedies(plan, gap), before, tray_minor=_tray_minor(plan, gap))


def recommended_of(plan: Plan, gap: Gap, before: str | None) -> Option:
    """The way that is recommended for a gap, which stays the one recommended before as long as that is as good."""
    return recommended(remedies(plan, gap), before, tray_minor=_tray_minor(plan, gap))


def _tray_minor(plan: Plan, gap: Gap) -> int:
    """What seed for a tray costs, of the quickest kind that answers; nought where the farm grows none [minor units]."""
    kinds = own_products(plan, gap.shortfalls[0].line)
    if not kinds:
        return 0
    seed = plan.farm.site.prices.seed_minor_per_place or plan.crops[kinds[0].variety].costs.seed_minor
    return round(seed * tray_size(plan.farm.batches))


def _sowable(plan: Plan, gap: Gap, proved: Sequence[Option]) -> Sowable:
    """Until when a sowing can close a gap; by the calendar alone, the first due day less the weeks to flower.

    Source: growers' usual sow-by rule (common practice).
    """
    first = min(short.line.due for short in gap.shortfalls)
    weeks = [plan.crops[product.variety].weeks_to_flower for product in own_products(plan, gap.shortfalls[0].line)]
    usual = first - timedelta(days=round(min(weeks) * 7)) if weeks else None
    return Sowable(last_chance(proved), usual)


def _worked_out(plan: Plan, gap: Gap) -> tuple[Option, ...]:
    situation = situation_of(plan, gap)
    proved = [*sowings_for(plan, need_of(gap)), *other_ways(plan, situation)]
    if any(closes_for_good(option) for option in proved):
        proved = _beside_closing(proved)
    bought = buying_in(
        situation,
        condition_days=plan.farm.site.condition_days,
        hold_days=_keeps(plan, gap),
        stem_minor=plan.farm.site.costs.stem_bought,
    )
    by = tell_by(situation, _sowable(plan, gap, proved), {order.key: order for order in plan.farm.orders})
    found = [*proved, *([] if bought is None else [bought]), telling(situation, by)]
    return worth_telling(option for option in found if option.decide_by >= plan.today)


def _beside_closing(proved: list[Option]) -> list[Option]:
    """What closes a gap, and what nearly does; and the best of seed, where only something else closes it."""
    closing = [option for option in proved if closes_for_good(option)]
    if any(is_from_seed(option) for option in closing):
        return [*closing, *(option for option in proved if option.is_near)]
    return [*closing, *(option for option in proved if is_from_seed(option))]


def _keeps(plan: Plan, gap: Gap) -> int:
    """Days that stems of what is asked keep in the store, as long as the kind that keeps least [d]."""
    kinds = own_products(plan, gap.shortfalls[0].line)
    days = [plan.crops[product.variety].hold_days for product in kinds if product.form is Form.FRESH]
    if days:
        return min(days)
    kept = [plan.crops[product.variety].dried_keep_days for product in kinds]
    return min((days for days in kept if days is not None), default=_DRIED_KEEPS)


def situation_of(plan: Plan, gap: Gap) -> Situation:
    """A gap of a plan as options look at it."""
    return Situation(
        gap=gap,
        before=proof_of(plan, need_of(gap)),
        today=plan.today,
        notice_days={customer.key: customer.notice_days for customer in plan.farm.customers},
        names={key: crop.name for key, crop in plan.crops.items()},
        people={customer.key: customer.name for customer in plan.farm.customers},
        prices=stem_prices(plan, [short.line for short in gap.shortfalls]),
        site=plan.farm.site,
    )
