"""What is left when nothing in the ground can close a gap: buying in, and telling people in time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date, timedelta

from haulm.advice.options.option import Option, Proof
from haulm.advice.shortfalls import Gap


def buying_in(gap: Gap, before: Proof, *, asked: str, today: date, condition_days: int) -> Option:
    """Buying the stems that are missing from another grower, so early that they can drink before they leave.

    `asked` is what is short, in words.
    """
    first = min(short.line.due for short in gap.shortfalls)
    by = max(first - timedelta(days=condition_days), today)
    stems = math.ceil(before.missing)
    sentence = f"Ask another grower for about {stems} stems of {asked}, in the store by {by}."
    return Option("buy_in", sentence, by, before, None, False)


def telling(gap: Gap, before: Proof, *, asked: str, notice_days: Mapping[str, int], today: date) -> Option:
    """Telling everybody who is short, as early as each of them asked to be told; once that has passed, today."""
    by = min(short.line.due - timedelta(days=notice_days.get(short.line.customer, 2)) for short in gap.shortfalls)
    by = max(by, today)
    people = ", ".join(sorted({short.line.customer for short in gap.shortfalls}))
    sentence = f"Tell {people} by {by} that {asked} may be short, and offer something else."
    return Option("tell", sentence, by, before, None, False)
