"""The log of how many stems each line of the week's list may count on: written down, so that looking never changes it.

From its bucket day on it is written after every version of the farm. Here the lines that changed are found, and those
that dropped, whose customers somebody has to ring; how far a number may drop is decided in `draft_bucket_list.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import asked_of
from haulm.farm.varieties import Crop
from haulm.jobs.bucket_day.bucket_lines import BucketLine, BucketList, LineDue
from haulm.jobs.bucket_day.confirmed_lists import subject_of
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork

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


def untold(
    draft: BucketList, crops: Mapping[str, Crop], told: Mapping[LineDue, Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """The rows of lines of which something else is theirs than was told, or of which nothing was."""
    rows: list[dict[str, Any]] = []
    for bucket in draft.lines:
        before = told.get((bucket.line.line, bucket.line.due))
        if before is None or (before["yours"], before["stems"]) != (bucket.yours, bucket.line.stems):
            fell = before is not None and bucket.yours < min(int(before["yours"]), bucket.line.stems)
            rows.append(_row(bucket, crops) | ({"was": before["yours"]} if before is not None and fell else {}))
    return rows


def keep_yours(work: UnitOfWork, day: date, rows: Sequence[Mapping[str, Any]]) -> None:
    """Write down what is theirs of a list, where there is anything new of it."""
    if rows:
        work.enter(YOURS, subject_of(day), {"lines": list(rows)})


def _row(bucket: BucketLine, crops: Mapping[str, Crop]) -> dict[str, Any]:
    line = bucket.line
    return {
        "line": line.line,
        "order": line.order,
        "customer": line.customer,
        "asked": asked_in_words(asked_of(line), crops),
        "due": line.due.isoformat(),
        "stems": line.stems,
        "yours": bucket.yours,
    }
