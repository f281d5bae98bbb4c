"""Which products of a list the grower shares evenly, as it is kept in the journal."""

from __future__ import annotations

from datetime import date

from haulm.jobs.bucket_day.confirmed_lists import subject_of
from haulm.store.store import Store

SHARED = "list-shared-evenly"


def kept_evenly(store: Store, day: date) -> frozenset[str]:
    """The products of the list of a bucket day that are shared evenly by the grower's last word; none unless said."""
    entry = store.last_entry(SHARED, subject_of(day))
    return frozenset() if entry is None else frozenset(entry.facts["products"])
