"""What can still close a gap of a plan: the pure options of advice, fed with proofs from real matches."""

from __future__ import annotations

from datetime import date, timedelta

from haulm.advice.options.faster_kind import as_faster, faster_kinds
from haulm.advice.options.last_resorts import buying_in, telling
from haulm.advice.options.lift import make_room
from haulm.advice.options.option import Option
from haulm.advice.options.ranking import closes_for_good, is_from_seed, worth_telling
from haulm.advice.options.situation import Situation
from haulm.advice.options.succession import sowing_options
from haulm.advice.shortfalls import Gap
from haulm.farm.costs import BOUGHT_STEM_MINOR
from haulm.farm.words import Form
from haulm.planning.other_ways import other_ways
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import own_products, proof_of, sowing_search, stem_prices

_DRIED_KEEPS = 365
"""Dried stems that keep for good are bought once [d]."""


def remedies(plan: Plan, gap: Gap) -> tuple[Option, ...]:
    """The options of a gap that can still help, the recommended one first.

    They are worked out once for a plan and a gap.
    """
    return plan.remembered_options.of(gap, lambda: _worked_out(plan, gap))


def known_decide_by(plan: Plan, gap: Gap) -> date:
    """The last day on which a closing option of a gap can still be taken, where its options were worked out already.

    Where none of them closes it, the day to tell by; until they are worked out, the rule of thumb.
    """
    options = plan.remembered_options.known(gap)
    if options is None:
        return rule_of_thumb_day(plan, gap)
    closing = [option.decide_by for option in options if closes_for_good(option)]
    return max(closing) if closing else telling(situation_of(plan, gap)).decide_by


def rule_of_thumb_day(plan: Plan, gap: Gap) -> date:
    """The day by which a sowing would have to be made, by the calendar alone; once that has passed, the day to tell by.

    The first due day, less the weeks to flower of the quickest kind that answers, less a week to be safe.

    Source: growers' usual sow-by rule (common practice). The options of the gap give the proved day.
    """
    first = min(short.line.due for short in gap.shortfalls)
    weeks = [plan.crops[product.variety].weeks_to_flower for product in own_products(plan, gap.shortfalls[0].line)]
    if weeks:
        sow_by = first - timedelta(days=round(min(weeks) * 7) + 7)
        if sow_by >= plan.today:
            return sow_by
    return telling(situation_of(plan, gap)).decide_by


def _worked_out(plan: Plan, gap: Gap) -> tuple[Option, ...]:
    situation = situation_of(plan, gap)
    proved = [*_sowings(plan, gap), *other_ways(plan, situation)]
    if any(closes_for_good(option) for option in proved):
        proved = _beside_closing(proved)
    costs = plan.farm.site.costs.bought_stem_minor
    bought = buying_in(
        situation,
        condition_days=plan.farm.site.condition_days,
        hold_days=_keeps(plan, gap),
        stem_minor=BOUGHT_STEM_MINOR if costs is None else costs,
    )
    found = [*proved, *([] if bought is None else [bought]), telling(situation)]
    return worth_telling(option for option in found if option.decide_by >= plan.today)


def _beside_closing(proved: list[Option]) -> list[Option]:
    """What closes a gap; and the best that seed can do, where only something else closes it."""
    closing = [option for option in proved if closes_for_good(option)]
    if any(is_from_seed(option) for option in closing):
        return closing
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
        before=proof_of(gap),
        today=plan.today,
        notice_days={customer.key: customer.notice_days for customer in plan.farm.customers},
        names={key: crop.name for key, crop in plan.crops.items()},
        people={customer.key: customer.name for customer in plan.farm.customers},
        prices=stem_prices(plan, [short.line for short in gap.shortfalls]),
        site=plan.farm.site,
    )


def _sowings(plan: Plan, gap: Gap) -> list[Option]:
    """Sowings of what the lines ask; where none of them closes the gap, of a quicker kind that they name.

    Where no sowing closes it and one would with more room, that is said too.
    """
    if plan.growth.forecast is None or plan.growth.forecast.seasons is None:
        return []
    lines = [short.line for short in gap.shortfalls]
    search = sowing_search(plan, gap, own_products(plan, lines[0]))
    found = sowing_options(search)
    if any(option.closes for option in found):
        return found
    quicker = faster_kinds(lines, plan.crops)
    found += as_faster(sowing_options(sowing_search(plan, gap, quicker)) if quicker else [])
    room = None if any(option.closes for option in found) else make_room(search)
    return found if room is None else [*found, room]
