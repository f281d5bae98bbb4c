"""Bucket lists that were confirmed, as the journal has them, and who got too few."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from haulm.farm.words import LineClass
from haulm.jobs.bucket_lines import BucketLine
from haulm.jobs.desk import Desk

CONFIRMED, CORRECTED, CLAIM = "bucket-list-confirmed", "bucket-list-corrected", "claim"


def confirmed_bucket_list(desk: Desk, day: date) -> Mapping[str, Any] | None:
    """The list of a day as it was confirmed, or None."""
    entry = desk.store.last_entry(CONFIRMED, subject_of(day))
    return None if entry is None else entry.facts


def corrections_of(desk: Desk, day: date) -> tuple[Mapping[str, Any], ...]:
    """What was corrected of the list of a day, oldest first: line, due, stems, what it was, and why."""
    return tuple(entry.facts for entry in desk.store.entries_of(CORRECTED, about=subject_of(day)))


def subject_of(day: date) -> str:
    """What the entry of a confirmed list is about."""
    return f"bucket-lists/{day.isoformat()}"


def short_customers(lines: Sequence[BucketLine]) -> frozenset[str]:
    """Those who get fewer stems than they asked on some line; the stall does not count."""
    return frozenset(
        bucket.line.customer
        for bucket in lines
        if bucket.filled < bucket.line.stems and bucket.line.line_class is not LineClass.STALL
    )


def short_before(desk: Desk, day: date) -> frozenset[str]:
    """Those who got too few on the bucket day before, be it by a correction."""
    last = day - timedelta(days=7)
    before = confirmed_bucket_list(desk, last)
    less = {(facts["line"], facts["due"]): int(facts["stems"]) for facts in corrections_of(desk, last)}
    customers: Sequence[Mapping[str, Any]] = () if before is None else before.get("customers", ())
    return frozenset(
        found["customer"]
        for found in customers
        for line in found["lines"]
        if min(line["filled"], less.get((line["line"], line["due"]), line["filled"])) < line["asked"]
        and line["class"] != LineClass.STALL
    )
