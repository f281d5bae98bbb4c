"""What is supposed in a what-if, put into a farm value: rows, an earlier frost, a pause, an order moved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.errors import NotAccepted, NotFound
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Order, StandingOrder
from haulm.farm.snapshot import Farm
from haulm.farm.words import StandingStatus
from haulm.farm_folder.cells import row_from_values
from haulm.farm_folder.faults import within
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.change_rows import row_of, rows_of

MADE_UP_KEY = "what-if"
_KEYS_MADE_UP = ("batches", "records", "known_stems", "changes")


@dataclass(frozen=True, slots=True)
class RowSupposed:
    """A row put in, or changed where there is one with the key; values by column."""

    collection: str
    values: Mapping[str, object]
    key: str | None = None


@dataclass(frozen=True, slots=True)
class FrostSupposed:
    """The killing frost so many days earlier in every season (later, where negative) [d]."""

    days_earlier: int


@dataclass(frozen=True, slots=True)
class PauseSupposed:
    """A standing order that pauses."""

    order: str


@dataclass(frozen=True, slots=True)
class MoveSupposed:
    """A dated order on another due day; its event and the day of final numbers move with it."""

    order: str
    due_date: date


Supposed = RowSupposed | FrostSupposed | PauseSupposed | MoveSupposed


def supposed_farm(farm: Farm, today: date, changes: Iterable[Supposed]) -> Farm:
    """The farm as it would be; the frost is not part of it.

    Raises:
        NotFound, NotAccepted, FolderRefused: a change is about something that is not there, or does not fit the farm.
    """
    found, rows = farm, dict[int, Row]()
    for place, change in enumerate(changes):
        with within("changes", place, "values"):
            row = _row(found, today, change, f"changes[{place}]")
        if row is not None:
            rows[place] = row
            found = with_rows(found, [row])
    require_sound(farm, rows.values(), [("changes", place, "values") for place in rows])
    return found


def frost_days_earlier(changes: Iterable[Supposed]) -> int:
    """By how many days the killing frost is supposed to come earlier [d]."""
    return sum(change.days_earlier for change in changes if isinstance(change, FrostSupposed))


def _row(farm: Farm, today: date, change: Supposed, where: str) -> Row | None:
    match change:
        case FrostSupposed():
            return None
        case PauseSupposed(key):
            standing: StandingOrder = row_of(farm, "standing_orders", key)
            return replace(standing, status=StandingStatus.PAUSED)
        case MoveSupposed(key, due_date):
            return _moved(farm, key, due_date)
        case RowSupposed():
            return _row_of_values(farm, today, change, where)


def _moved(farm: Farm, key: str, due_date: date) -> Order:
    order: Order = row_of(farm, "orders", key)
    days = due_date - order.due_date
    return replace(
        order,
        due_date=due_date,
        event_date=_later(order.event_date, days),
        final_numbers_date=_later(order.final_numbers_date, days),
    )


def _later(day: date | None, days: timedelta) -> date | None:
    return None if day is None else day + days


def _row_of_values(farm: Farm, today: date, change: RowSupposed, where: str) -> Row:
    key = change.key or change.values.get("key")
    known = {row.key: row for row in rows_of(farm, change.collection)}
    if change.key is not None and change.key not in known and "key" not in change.values:
        raise NotFound(kind=change.collection.replace("_", " "), key=change.key)
    if change.key is not None and change.values.get("key", change.key) != change.key:
        raise NotAccepted(where=f"{where}.values.key", found=f"'{change.values['key']}'", accepted=f"'{change.key}'")
    values = dict(change.values)
    if key is None and change.collection in _KEYS_MADE_UP:
        values["key"] = _free_key(known)
    if change.collection == "records" and not values.get("date"):
        values["date"] = today.isoformat()
    base = known.get(key) if isinstance(key, str) else None
    row: Row = row_from_values(change.collection, values, base)
    return row


def _free_key(taken: Iterable[str]) -> str:
    numbers = (f"{MADE_UP_KEY}-{number}" for number in range(1, 10_000))
    keys = set(taken)
    return next(key for key in numbers if key not in keys)
