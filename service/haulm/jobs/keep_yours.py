"""What was called theirs on the list of the week: kept in the journal, so that looking never changes it.

From its bucket day on, the stems that each line may count on are written down after every version of the farm. They
rise with what is recorded, and fall only where a record has made them impossible; then somebody has to ring.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from haulm.jobs.bucket_lines import LineDue
from haulm.jobs.confirmed_lists import subject_of
from haulm.store.store import Store

YOURS = "yours-told"


def kept_yours(store: Store, day: date) -> dict[LineDue, int]:
    """The stems called theirs on the list of a bucket day, by line and due date."""
    return {key: int(row["yours"]) for key, row in told_lines(store, day).items()}


def told_lines(store: Store, day: date) -> dict[LineDue, Mapping[str, Any]]:
    """What was last written down of each line of a list: line, order, customer, asked, due, stems asked, yours.

    `was` is what was theirs before a record made some of it impossible.
    """
    found: dict[LineDue, Mapping[str, Any]] = {}
    for entry in store.entries_of(YOURS, about=subject_of(day)):
        rows: Iterable[Mapping[str, Any]] = entry.facts["lines"]
        for row in rows:
            key = (str(row["line"]), date.fromisoformat(row["due"]))
            before = found.get(key)
            # Who had to be rung has to be rung until the stems have left, whatever else is written of the line.
            fell = {"was": before["was"]} if before is not None and "was" in before and "was" not in row else {}
            found[key] = {**row, **fell}
    return found


def broken_lines(store: Store, day: date) -> Iterator[Mapping[str, Any]]:
    """The lines of a list that get fewer stems than were called theirs: `was` before, `yours` now."""
    return (row for row in told_lines(store, day).values() if "was" in row and row["was"] > row["yours"])
