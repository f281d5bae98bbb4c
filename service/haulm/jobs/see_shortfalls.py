"""What is short, as people say it: a gap with the name of what is asked, and what to mind of it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.farm.products import Product
from haulm.farm_folder.cells import values_of
from haulm.jobs.close_gap import DatedGap, checked_level, dated_gaps
from haulm.jobs.desk import Desk
from haulm.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class NamedGap:
    """A gap in words.

    Attributes:
        gap: the gap.
        decide_by: the last day on which it can still be closed.
        asked: what is short, in words.
        caution: what to mind of it, or nothing.
    """

    gap: Gap
    decide_by: date
    asked: str
    caution: str


def see_shortfalls(desk: Desk, level: float | None = None) -> tuple[NamedGap, ...]:
    """What is short at a confidence (each line's own unless said), by decide-by date.

    Raises:
        NotAccepted: the confidence is no share.
    """
    plan = desk.plan()
    return named_gaps(plan, dated_gaps(plan, checked_level(level)))


def named_gaps(plan: Plan, found: Iterable[DatedGap]) -> tuple[NamedGap, ...]:
    """Gaps with their names, in the order given."""
    return tuple(
        NamedGap(one.gap, one.decide_by, asked_in_words(one.gap.asked, plan.crops), caution_of(plan, one.gap.asked))
        for one in found
    )


def caution_of(plan: Plan, asked: str) -> str:
    """What to mind of a product that is asked for; a choice names no kind, so its caution comes with the kind taken."""
    if "=" in asked:
        return ""
    crop = plan.crops.get(Product.parse(asked).variety)
    return "" if crop is None else crop.caution or ""


def way_mark(way: Option) -> str:
    """A mark of the batches of one way, so that what is taken is what was shown, or nothing."""
    rows = [values_of("batches", batch) for batch in way.batches]
    return hashlib.sha256(json.dumps(rows, sort_keys=True, default=str).encode()).hexdigest()[:24]
