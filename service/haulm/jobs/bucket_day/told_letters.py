"""What the letters of a week told, as the journal has it: who was told what is expected, and what was settled."""

from __future__ import annotations

from datetime import date

from haulm.jobs.bucket_day.bucket_lines import DeliveryKey, LineDue
from haulm.jobs.bucket_day.confirmed_lists import subject_of
from haulm.store.journal import Entry
from haulm.store.store import Store

EXPECTED_TOLD, SETTLED_TOLD = "expected-told", "settled-told"


def told_expected(store: Store, day: date) -> frozenset[str]:
    """The customers who were told what is expected of the list of a bucket day."""
    entries = store.entries_of(EXPECTED_TOLD, about=subject_of(day))
    return frozenset(str(customer) for entry in entries for customer in entry.facts["customers"])


def last_settled_told(entries: tuple[Entry, ...], key: DeliveryKey) -> dict[str, int] | None:
    """The stems of each line as the last of these entries of `SETTLED_TOLD` told them of a delivery; None: none did."""
    order, due = key[0], key[1].isoformat()
    own = [entry.facts for entry in entries if (entry.facts["order"], entry.facts["due"]) == (order, due)]
    return {str(line): int(stems) for line, stems in own[-1]["lines"].items()} if own else None


def stems_written(store: Store, day: date) -> dict[LineDue, int]:
    """The most stems of each line of a list that a letter of what was settled told."""
    found: dict[LineDue, int] = {}
    for entry in store.entries_of(SETTLED_TOLD, about=subject_of(day)):
        due = date.fromisoformat(entry.facts["due"])
        for line, stems in entry.facts["lines"].items():
            found[line, due] = max(int(stems), found.get((line, due), 0))
    return found
