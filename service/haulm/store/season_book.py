"""Combined plans that were asked for: how far each is worked out, and what was found last, beside the journal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from haulm.advice.season_plan import LookedAt, SeasonPlan
from haulm.store.gap_book import Basis
from haulm.store.kept_values import as_json, from_json, shape_of
from haulm.store.leases import is_leased
from haulm.store.outbox import Opened
from haulm.store.tables.catalogue import SEASON_PLANS

JOB = "combined plan"
"""The job whose lease a writer must hold."""
MOST_KEPT = 4
"""Of more levels than these the plan that was asked for longest ago goes, those that are worked out first."""
_OWN = "own"


@dataclass(frozen=True, slots=True)
class Begun:
    """A plan that is being worked out: on what, of how many gaps, and those looked at so far, in the plan's order."""

    basis: Basis
    gaps: int
    looked: tuple[LookedAt, ...]


@dataclass(frozen=True, slots=True)
class FoundPlan:
    """A plan that was worked out, and on what."""

    basis: Basis
    plan: SeasonPlan


@dataclass(frozen=True, slots=True)
class AskedPlan:
    """A combined plan that somebody asked for.

    Attributes:
        level: the confidence asked of every line, 0-1; None for each line's own.
        is_waiting: whether it is still to be worked out.
        begun: how far it is; None where it is not begun.
        found: what was found last; None until it first was.
        at: when that was.
    """

    level: float | None
    is_waiting: bool
    begun: Begun | None
    found: FoundPlan | None
    at: datetime | None


SHAPE = f"{shape_of(Begun)}-{shape_of(FoundPlan)}"
"""What is kept is made of this: what was kept otherwise is as if it had never been worked out."""


class SeasonBook:
    """The combined plans of one farm, over connections that the store gives."""

    def __init__(self, read: Opened, write: Opened, farm_id: int) -> None:
        self._read = read
        self._write = write
        self._farm_id = farm_id

    def at(self, level: float | None) -> AskedPlan | None:
        """The plan of a level; None where nobody asked for it."""
        mine = (SEASON_PLANS.c.farm_id == self._farm_id, SEASON_PLANS.c.level == _word(level))
        with self._read() as connection:
            row = connection.execute(select(SEASON_PLANS).where(*mine)).mappings().first()
        return None if row is None else _asked(row)

    def waiting(self) -> AskedPlan | None:
        """Of the plans that are still to be worked out, the one asked for first."""
        columns = SEASON_PLANS.c
        mine = select(SEASON_PLANS).where(columns.farm_id == self._farm_id, columns.is_waiting)
        with self._read() as connection:
            row = connection.execute(mine.order_by(columns.asked_utc, columns.level)).mappings().first()
        return None if row is None else _asked(row)

    def ask(self, level: float | None, now: datetime) -> None:
        """Have the plan of a level worked out; where it is waiting already that is the same job."""
        columns = SEASON_PLANS.c
        mine = (columns.farm_id == self._farm_id, columns.level == _word(level))
        with self._write() as connection:
            is_waiting = connection.execute(select(columns.is_waiting).where(*mine).with_for_update()).scalar()
            if is_waiting is None:
                self._insert(connection, level, now)
            elif not is_waiting:
                connection.execute(update(SEASON_PLANS).where(*mine).values(is_waiting=True, asked_utc=now))

    def write_begun(self, worker: str, level: float | None, begun: Begun) -> bool:
        """Write how far a plan is; False where the job is another's by now."""
        return self._update(worker, level, {"begun": as_json(Begun, begun), "shape": SHAPE})

    def write_found(
        self, worker: str, level: float | None, found: tuple[FoundPlan, datetime], *, is_done: bool
    ) -> bool:
        """Write what was found; False where the job is another's by now.

        Args:
            worker: who is at work.
            level: the level of the plan.
            found: the plan, and the moment.
            is_done: False where it is overtaken already, and to be worked out anew.
        """
        plan, at = found
        kept = {"found": as_json(FoundPlan, plan), "found_utc": at, "begun": None, "shape": SHAPE}
        return self._update(worker, level, {**kept, "is_waiting": not is_done})

    def _update(self, worker: str, level: float | None, values: dict[str, Any]) -> bool:
        mine = (SEASON_PLANS.c.farm_id == self._farm_id, SEASON_PLANS.c.level == _word(level))
        with self._write() as connection:
            if not is_leased(connection, self._farm_id, JOB, worker):
                return False
            shape = connection.execute(select(SEASON_PLANS.c.shape).where(*mine)).scalar()
            if shape != SHAPE:  # the other half would be read as if it were of this shape
                values = {"begun": None, "found": None, "found_utc": None, **values}
            connection.execute(update(SEASON_PLANS).where(*mine).values(**values))
        return True

    def _insert(self, connection: Connection, level: float | None, now: datetime) -> None:
        columns = SEASON_PLANS.c
        mine = columns.farm_id == self._farm_id
        order = (columns.is_waiting.desc(), columns.asked_utc.desc(), columns.level)
        kept = connection.execute(select(columns.level).where(mine).order_by(*order)).scalars().all()
        connection.execute(delete(SEASON_PLANS).where(mine, columns.level.in_(kept[MOST_KEPT - 1 :])))
        row = {"farm_id": self._farm_id, "level": _word(level), "asked_utc": now, "is_waiting": True, "shape": SHAPE}
        try:
            connection.execute(insert(SEASON_PLANS).values(**row))
        except IntegrityError:  # another process was first: it is the same job
            connection.rollback()


def _word(level: float | None) -> str:
    return _OWN if level is None else repr(level)


def _asked(row: RowMapping) -> AskedPlan:
    level = None if row["level"] == _OWN else float(row["level"])
    begun, found, at = row["begun"], row["found"], row["found_utc"]
    if row["shape"] != SHAPE:
        return AskedPlan(level, row["is_waiting"], None, None, None)
    return AskedPlan(
        level,
        row["is_waiting"],
        None if begun is None else from_json(Begun, begun),
        None if found is None else from_json(FoundPlan, found),
        at,
    )
