"""What can still close a gap of a plan: the pure options of advice, fed with proofs from real matches."""

from __future__ import annotations

from datetime import date, timedelta

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.faster_kind import as_faster, faster_kinds
from haulm.advice.options.last_resorts import buying_in, telling
from haulm.advice.options.option import Option
from haulm.advice.options.situation import Situation
from haulm.advice.options.succession import sowing_options
from haulm.advice.shortfalls import Gap
from haulm.planning.other_ways import other_ways
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import own_products, proof_of, sowing_search

_KINDS = (
    "succession", "faster_kind", "plugs", "move_cut", "swap", "substitute", "dried", "ask_later", "buy_in", "tell",
)  # fmt: skip


def remedies(plan: Plan, gap: Gap) -> tuple[Option, ...]:
    """The options of a gap that can still help, closing ones first: own sowings before bought plants.

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
    closing = [option.decide_by for option in options if option.closes]
    return max(closing) if closing else _telling(plan, gap).decide_by


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
    return _telling(plan, gap).decide_by


def _worked_out(plan: Plan, gap: Gap) -> tuple[Option, ...]:
    situation = situation_of(plan, gap)
    proved = [*_sowings(plan, gap), *other_ways(plan, situation)]
    if any(option.closes for option in proved):
        proved = [option for option in proved if option.closes]
    found = [
        *proved,
        buying_in(
            gap,
            situation.before,
            asked=situation.asked,
            today=plan.today,
            condition_days=plan.farm.site.condition_days,
        ),
        _telling(plan, gap),
    ]
    open_still = [option for option in found if option.decide_by >= plan.today]
    return tuple(sorted(open_still, key=_preference))


def situation_of(plan: Plan, gap: Gap) -> Situation:
    """A gap of a plan as options look at it."""
    return Situation(
        gap=gap,
        before=proof_of(gap),
        today=plan.today,
        notice_days={customer.key: customer.notice_days for customer in plan.farm.customers},
        names={key: crop.name for key, crop in plan.crops.items()},
    )


def _sowings(plan: Plan, gap: Gap) -> list[Option]:
    """Sowings of what the lines ask; where none of them closes the gap, of a quicker kind that they name."""
    if plan.growth.forecast is None or plan.growth.forecast.seasons is None:
        return []
    lines = [short.line for short in gap.shortfalls]
    found = sowing_options(sowing_search(plan, gap, own_products(plan, lines[0])))
    if any(option.closes for option in found):
        return found
    quicker = faster_kinds(lines, plan.crops)
    return found + as_faster(sowing_options(sowing_search(plan, gap, quicker)) if quicker else [])


def _preference(option: Option) -> tuple[bool, int, int, int]:
    """What closes comes first; then what the grower can do alone, seed first; then the smallest."""
    places = sum(batch.places for batch in option.batches)
    return (not option.closes, _KINDS.index(option.kind), places, -option.decide_by.toordinal())


def _telling(plan: Plan, gap: Gap) -> Option:
    notice = {customer.key: customer.notice_days for customer in plan.farm.customers}
    asked = asked_in_words(gap.asked, plan.crops)
    return telling(gap, proof_of(gap), asked=asked, notice_days=notice, today=plan.today)
