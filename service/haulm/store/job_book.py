"""What is kept of the jobs that close gaps, beside the journal: for each gap what its recommended way is and does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, select, update

from haulm.store.gap_book import Basis
from haulm.store.leases import is_leased
from haulm.store.outbox import Opened
from haulm.store.tables.catalogue import GAP_JOBS

JOB = "gap jobs"
"""The job whose lease a writer must hold."""

Facts = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class KeptJobs:
    """The facts of every gap's way, by the gap's name.

    Attributes:
        basis: for what they were last written.
        is_done: whether all of them are worked out for it.
        writes: how often anything was written.
        by_gap: facts by name; those of an earlier basis stand until they are worked out anew.
    """

    basis: Basis
    is_done: bool
    writes: int
    by_gap: Mapping[str, Facts]


class JobBook:
    """The ways of one farm's gaps, over connections that the store gives. Whoever writes holds the lease of the job."""

    def __init__(self, read: Opened, write: Opened, farm_id: int) -> None:
        self._read = read
        self._write = write
        self._farm_id = farm_id

    def kept(self) -> KeptJobs | None:
        """What is kept; None before the first time."""
        with self._read() as connection:
            return self._kept(connection)

    def write(self, worker: str, basis: Basis, by_gap: Mapping[str, Facts], *, is_done: bool) -> bool:
        """Write all of it in the place of what stood; False where the job is another's by now."""
        values = {
            "version": basis.version,
            "day": basis.day,
            "model": basis.model,
            "is_done": is_done,
            "by_gap": {name: dict(facts) for name, facts in by_gap.items()},
        }
        with self._write() as connection:
            if not is_leased(connection, self._farm_id, JOB, worker):
                return False
            before = self._kept(connection)
            if before is None:
                connection.execute(insert(GAP_JOBS).values(farm_id=self._farm_id, writes=1, **values))
            else:
                mine = GAP_JOBS.c.farm_id == self._farm_id
                connection.execute(update(GAP_JOBS).where(mine).values(writes=before.writes + 1, **values))
        return True

    def _kept(self, connection: Connection) -> KeptJobs | None:
        found = connection.execute(select(GAP_JOBS).where(GAP_JOBS.c.farm_id == self._farm_id)).first()
        if found is None:
            return None
        return KeptJobs(Basis(found.version, found.day, found.model), found.is_done, found.writes, found.by_gap)
