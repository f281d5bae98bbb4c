"""The last cut before a line's stems leave, and whether it is written down."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from haulm.demand.dated_line import DatedLine
from haulm.evidence.seen import standing_records
from haulm.farm.products import Product
from haulm.farm.weeks import cut_days_for
from haulm.farm.words import Form, RecordKind
from haulm.jobs.farm.stems_in_store import cut_variety
from haulm.planning.plan import Plan

CutsMade = Mapping[str, frozenset[date]]
"""The days on which each variety was cut."""


def cuts_made(plan: Plan) -> CutsMade:
    """The days up to today on which stems of each variety were cut, by the records that stand."""
    found: dict[str, set[date]] = {}
    for record in standing_records(plan.farm.records):
        if record.kind is RecordKind.CUT and record.date <= plan.today:
            found.setdefault(cut_variety(plan.farm, record.batch, record.variety), set()).add(record.date)
    return {variety: frozenset(days) for variety, days in found.items()}


def last_cut_day(plan: Plan, line: DatedLine) -> date | None:
    """The latest day, past ones included, on which stems can be cut for a line; None where none is cut for it.

    Source: the rule C(d) of the project's own model (docs/engineer/model.md).
    """
    days = [_last_of(plan, line, product) for product in plan.accepted_by(line) if product.form is Form.FRESH]
    return max((day for day in days if day is not None), default=None)


def is_recorded(plan: Plan, line: DatedLine, last: date, made: CutsMade) -> bool:
    """Whether a cut of what the line asks was written down on its last cut day, or later and still in time to drink."""
    until = line.due - timedelta(days=plan.farm.site.condition_days)
    asked = [line.product] if line.product is not None and line.product.form is Form.FRESH else plan.accepted_by(line)
    return any(last <= day <= until for product in asked for day in made.get(product.variety, ()))


def _last_of(plan: Plan, line: DatedLine, product: Product) -> date | None:
    site, hold = plan.farm.site, plan.crops[product.variety].hold_days
    days = cut_days_for(
        line.due,
        weekdays=site.cut_weekdays,
        hold_days=hold if line.max_age_days is None else min(hold, line.max_age_days),
        condition_days=site.condition_days,
        today=date.min,
    )
    return days[-1] if days else None
