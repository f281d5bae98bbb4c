"""Change what the folder has: one row put in or changed, checked against the whole farm before it is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from haulm.errors import NotAccepted, NotFound
from haulm.farm.edits import Row, identity
from haulm.farm.moments import moment_after, moment_text
from haulm.farm.past_years import PastYear
from haulm.farm.records import KnownStems, Record
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm_folder.cells import row_from_values
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.doubtful_records import require_sure
from haulm.jobs.farm.food_marks import without_old_mark
from haulm.jobs.farm.held_seasons import values_with_seasons
from haulm.jobs.farm.likely_years import require_likely
from haulm.jobs.farm.post_cuts import cut_before, post_cut, post_recount
from haulm.jobs.promises.judge_demand import judge_demand, keep_promises
from haulm.jobs.quotes.keep_prices import price_kept, values_of_price
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

KEYED = (
    "varieties",
    "beds",
    "batches",
    "records",
    "known_stems",
    "customers",
    "standing_orders",
    "standing_lines",
    "changes",
    "orders",
    "order_lines",
    "sprays",
    "past_years",
    "usual_sales",
)
"""Collections whose rows have keys and can be asked for one by one."""
ADDED_ONLY = ("records",)
"""Collections whose rows are never changed; a later row corrects an earlier one."""

_KEYS_MADE_UP = ("batches", "records", "past_years", "usual_sales")
MADE_UP = {**dict.fromkeys(_KEYS_MADE_UP, ("key",)), "records": ("key", "date")}
"""Columns that must be there and yet need not be given, by collection."""

PROMISING = ("orders", "order_lines", "standing_orders", "standing_lines", "changes")
"""Collections whose rows ask for stems: what is written there is judged by the match."""


def rows_of(farm: Farm, collection: str) -> tuple[Any, ...]:
    """The rows of a collection, in the order they were written.

    Raises:
        NotFound: there is no such collection.
    """
    if collection not in KEYED:
        raise NotFound(kind=_("collection"), key=collection)
    rows: tuple[Any, ...] = getattr(farm, collection)
    return rows


def row_of(farm: Farm, collection: str, key: str) -> Any:
    """One row of a collection.

    Raises:
        NotFound: there is no such collection, or no row with that key.
    """
    found = next((row for row in rows_of(farm, collection) if row.key == key), None)
    if found is None:
        raise NotFound(kind=collection.replace("_", " "), key=key)
    return found


@dataclass(frozen=True, slots=True)
class RowAsked:
    """A row as somebody wants it.

    Attributes:
        collection: where it belongs.
        values: its values by column.
        override: why to write it though an earlier promise would fall; None: it is refused then.
    """

    collection: str
    values: Mapping[str, object]
    override: str | None = None


def add_row(desk: Desk, work: UnitOfWork, asked: RowAsked) -> Any:
    """Put in a new row; a record's date is today unless said, and keys that nobody types (`_KEYS_MADE_UP`) are made up.

    A record that stands already, word for word, is given back and not written again. One that does not say when it was
    typed is typed now, after all that the farm knows of its day.

    Raises:
        DoubtfulRecord: a record or a past year says what cannot well be, and was not said again.
        NotAccepted: the key is taken, or the row would hold or contract an order.
        FolderRefused: a value is not accepted, or the row does not fit the farm.
        DayNotServed, PromiseRefused: the row asks for stems, and the match says no.
        NotAccepted: it corrects a cut to fewer stems than have left the store.
    """
    given = dict(asked.values)
    if asked.collection in _KEYS_MADE_UP and not given.get("key"):
        given["key"] = _free_key(work, asked.collection)
    if asked.collection == "records" and not given.get("date"):
        given["date"] = desk.today().isoformat()
    row = row_from_values(asked.collection, given)
    if isinstance(row, Record):
        standing = _as_it_stands(work.farm, row)
        if standing is not None:
            return standing
        (row,) = require_sure(desk, work.farm, [replace(row, typed_at=row.typed_at or _typed(desk, work, row))])
    if any(identity(row) == identity(old) for old in rows_of(work.farm, asked.collection)):
        raise NotAccepted(
            where="key", found=_("'{key}', which is taken").format(key=row.key), accepted=_("a key that is free")
        )
    return _written(desk, work, row, asked, "row-added")


def change_row(desk: Desk, work: UnitOfWork, key: str, asked: RowAsked, *, expected: int | None) -> Any:
    """Change the named values of a row; what is not named stays.

    Raises:
        NotFound: there is no such row.
        NotAccepted: records are never changed, a key never is, and an order is held or contracted by its own step.
        FolderRefused: a value is not accepted, or the row does not fit the farm.
        DayNotServed, PromiseRefused: the row asks for more stems, and the match says no.
        NotAccepted: known stems are fewer than have left the store.
        VersionStale: somebody changed the row since the version expected.
    """
    collection = asked.collection
    if collection in ADDED_ONLY:
        raise NotAccepted(where=collection, found=_("a change"), accepted=_("a new record that corrects this one"))
    row = row_of(work.farm, collection, key)
    if asked.values.get("key", key) != key:
        raise NotAccepted(
            where="key", found=f"'{asked.values['key']}'", accepted=_("'{key}': keys stay").format(key=key)
        )
    values = values_with_seasons(row, asked.values) if isinstance(row, Variety) else asked.values
    changed = row_from_values(collection, values_of_price(collection, values), row)
    if isinstance(row, Variety) and "food_use" not in asked.values:
        changed = without_old_mark(work, row, changed, desk.today())
    changed = _written(desk, work, changed, asked, "row-changed", expected=expected)
    if isinstance(row, KnownStems) and isinstance(changed, KnownStems):
        post_recount(work, row, changed)
    return changed


def _written(desk: Desk, work: UnitOfWork, row: Row, asked: RowAsked, kind: str, *, expected: int | None = None) -> Row:
    require_sound(work.farm, [row])
    if isinstance(row, PastYear):
        row = require_likely(work.farm, row, desk.today())
    row = price_kept(work.farm, row, asked.values, today=desk.today())
    change = judge_demand(desk, work.farm, row, override=asked.override)
    facts = change.facts if change is not None else {}
    before = cut_before(work, row)
    seq = work.enter(kind, f"{asked.collection}/{identity(row)[0]}", facts)
    work.put(row, entry=seq, expected_row_version=expected)
    if change is not None:
        keep_promises(desk, work, change, entry=seq)
    if isinstance(row, Record):
        post_cut(work, row, before)
    return row


def _as_it_stands(farm: Farm, row: Record) -> Record | None:
    """The record that says the same under the same key; when it was typed only matters where that is said."""
    old = next((one for one in farm.records if one.key == row.key), None)
    if old is None:
        return None
    return old if replace(row, typed_at=row.typed_at or old.typed_at, really=old.really) == old else None


def _typed(desk: Desk, work: UnitOfWork, row: Record) -> str:
    """Now, or just after the latest moment that a record of the same day was typed, where a clock is behind."""
    now = moment_text(desk.now())
    last = max((one.typed_at or "" for one in work.changed_farm.records if one.date == row.date), default="")
    return now if now > last else moment_after(last)


def _free_key(work: UnitOfWork, collection: str) -> str:
    taken = {row.key for row in rows_of(work.farm, collection)}
    number = work.next_seq
    while f"{collection[0]}{number}" in taken:
        number += 1
    return f"{collection[0]}{number}"
