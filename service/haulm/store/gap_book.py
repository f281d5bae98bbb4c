"""What is kept of gaps beside the journal: the names they keep, their days and ways as they were last worked out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, delete, insert, select, update

from haulm.advice.gap_days import GapDays
from haulm.advice.gap_names import Standing
from haulm.advice.options.option import Option
from haulm.advice.ways import Ways
from haulm.store.kept_values import as_json, from_json, shape_of
from haulm.store.leases import is_leased
from haulm.store.outbox import Opened
from haulm.store.tables.catalogue import GAP_WAYS, GAPS, GAPS_FOLLOWED

JOB = "gaps"
"""The job whose lease a writer must hold."""
SHAPE = shape_of(Ways)
"""What kept ways are made of: those kept otherwise are worked out anew."""


@dataclass(frozen=True, slots=True)
class Basis:
    """What days and ways rest on: the version of the farm, the day it is looked at, the forecast model; their shape."""

    version: int
    day: date
    model: int
    shape: str = SHAPE


@dataclass(frozen=True, slots=True)
class Worked:
    """Days as they were worked out: on what, and when."""

    days: GapDays
    basis: Basis
    at: datetime


@dataclass(frozen=True, slots=True)
class KeptGap:
    """A gap under its name, with its days as they were last worked out; None: they never were."""

    standing: Standing
    worked: Worked | None


@dataclass(frozen=True, slots=True)
class FollowedGaps:
    """For what names were last written, whether all days are worked out for it, and how often anything was written."""

    basis: Basis
    is_done: bool
    writes: int


class GapBook:
    """The gaps of one farm, over connections that the store gives. Whoever writes holds the lease of the job."""

    def __init__(self, read: Opened, write: Opened, farm_id: int) -> None:
        self._read = read
        self._write = write
        self._farm_id = farm_id

    def gaps(self) -> tuple[KeptGap, ...]:
        """Every gap that stands, by name."""
        with self._read() as connection:
            rows = connection.execute(select(GAPS).where(GAPS.c.farm_id == self._farm_id).order_by(GAPS.c.name))
            return tuple(_kept(row) for row in rows.mappings())

    def ways(self, name: str) -> Ways | None:
        """The ways of a gap as they were worked out with its days; None where none are, or none that can be read."""
        mine = (GAP_WAYS.c.farm_id == self._farm_id, GAP_WAYS.c.name == name, GAP_WAYS.c.shape == SHAPE)
        with self._read() as connection:
            found = connection.execute(select(GAP_WAYS.c.ways).where(*mine)).scalar()
        return None if found is None else from_json(Ways, found)

    def recommended(self) -> dict[str, Option]:
        """The recommended way of each gap by the gap's name, of those whose ways can be read."""
        mine = (GAP_WAYS.c.farm_id == self._farm_id, GAP_WAYS.c.shape == SHAPE)
        with self._read() as connection:
            rows = connection.execute(select(GAP_WAYS.c.name, GAP_WAYS.c.ways).where(*mine)).all()
        return {row.name: from_json(Option, row.ways["options"][0]) for row in rows}

    def followed(self) -> FollowedGaps | None:
        """How far the names and days are; None before the first time."""
        with self._read() as connection:
            return self._followed(connection)

    def write_names(self, worker: str, gaps: Iterable[KeptGap], basis: Basis, *, is_done: bool) -> bool:
        """Write the gaps that stand in the place of those that stood; False where the job is another's by now."""
        found = tuple(gaps)
        rows = [self._row(gap) for gap in found]
        worked = [gap.standing.name for gap in found if gap.worked is not None]
        with self._write() as connection:
            if not is_leased(connection, self._farm_id, JOB, worker):
                return False
            connection.execute(delete(GAPS).where(GAPS.c.farm_id == self._farm_id))
            gone = (GAP_WAYS.c.farm_id == self._farm_id, GAP_WAYS.c.name.not_in(worked))
            connection.execute(delete(GAP_WAYS).where(*gone))
            if rows:
                connection.execute(insert(GAPS), rows)
            self._note(connection, basis, is_done=is_done)
        return True

    def write_worked(self, worker: str, name: str, found: tuple[Worked, Ways], *, is_done: bool) -> bool:
        """Write the days and the ways of one gap; False where the job is another's by now."""
        worked, ways = found
        row = {"farm_id": self._farm_id, "name": name, "shape": SHAPE, "ways": as_json(Ways, ways)}
        with self._write() as connection:
            if not is_leased(connection, self._farm_id, JOB, worker):
                return False
            mine = (GAPS.c.farm_id == self._farm_id, GAPS.c.name == name)
            connection.execute(update(GAPS).where(*mine).values(**_worked_values(worked)))
            before = (GAP_WAYS.c.farm_id == self._farm_id, GAP_WAYS.c.name == name)
            connection.execute(delete(GAP_WAYS).where(*before))
            connection.execute(insert(GAP_WAYS).values(**row))
            self._note(connection, worked.basis, is_done=is_done)
        return True

    def _followed(self, connection: Connection) -> FollowedGaps | None:
        found = connection.execute(select(GAPS_FOLLOWED).where(GAPS_FOLLOWED.c.farm_id == self._farm_id)).first()
        if found is None:
            return None
        return FollowedGaps(Basis(found.version, found.day, found.model, found.shape), found.is_done, found.writes)

    def _note(self, connection: Connection, basis: Basis, *, is_done: bool) -> None:
        before = self._followed(connection)
        on = {"version": basis.version, "day": basis.day, "model": basis.model, "shape": basis.shape}
        values = {**on, "is_done": is_done}
        if before is None:
            connection.execute(insert(GAPS_FOLLOWED).values(farm_id=self._farm_id, writes=1, **values))
            return
        mine = GAPS_FOLLOWED.c.farm_id == self._farm_id
        connection.execute(update(GAPS_FOLLOWED).where(mine).values(writes=before.writes + 1, **values))

    def _row(self, gap: KeptGap) -> dict[str, Any]:
        one = gap.standing
        return {
            "farm_id": self._farm_id,
            "name": one.name,
            "asked": one.asked,
            "lines": [[line, due.isoformat()] for line, due in sorted(one.lines)],
            "merged": list(one.merged),
            "split_from": one.split_from,
            **_worked_values(gap.worked),
        }


def _worked_values(worked: Worked | None) -> dict[str, Any]:
    days = None if worked is None else worked.days
    basis = None if worked is None else worked.basis
    return {
        "act_by": None if days is None else days.act_by,
        "last_chance": None if days is None else days.last_chance,
        "last_way": None if days is None else days.last_way,
        "tell_by": None if days is None else days.tell_by,
        "kind": None if days is None else days.kind,
        "way": None if days is None else days.way,
        "version": None if basis is None else basis.version,
        "day": None if basis is None else basis.day,
        "model": None if basis is None else basis.model,
        "shape": None if basis is None else basis.shape,
        "at_utc": None if worked is None else worked.at,
    }


def _kept(row: RowMapping) -> KeptGap:
    lines = frozenset((line, date.fromisoformat(due)) for line, due in row["lines"])
    standing = Standing(row["name"], row["asked"], lines, tuple(row["merged"]), row["split_from"])
    if row["act_by"] is None:
        return KeptGap(standing, None)
    days = GapDays(row["act_by"], row["last_chance"], row["last_way"], row["tell_by"], row["kind"], row["way"])
    basis = Basis(row["version"], row["day"], row["model"], row["shape"])
    return KeptGap(standing, Worked(days, basis, row["at_utc"]))
