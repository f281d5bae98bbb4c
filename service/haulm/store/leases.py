"""Leases: of many workers, in one process or in several, one at a time is at a job, and none is missed for good.

A lease ends by itself: a worker that was killed in the midst of a job holds it up no longer than that.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from haulm.store.outbox import Opened
from haulm.store.tables.catalogue import LEASES


class Leases:
    """The leases of one farm, over connections that the store gives."""

    def __init__(self, write: Opened, farm_id: int) -> None:
        self._write = write
        self._farm_id = farm_id

    def take(self, job: str, worker: str, now: datetime, length: timedelta) -> bool:
        """Take a job for a while, or keep it for another while; False where somebody else has it."""
        columns, until = LEASES.c, now + length
        mine = (columns.farm_id == self._farm_id, columns.job == job)
        with self._write() as connection:
            found = connection.execute(select(columns.worker, columns.until_utc).where(*mine).with_for_update()).first()
            if found is None:
                values = {"farm_id": self._farm_id, "job": job, "worker": worker, "until_utc": until}
                try:
                    connection.execute(insert(LEASES).values(**values))
                except IntegrityError:  # another process was first
                    connection.rollback()
                    return False
                return True
            if found.worker != worker and found.until_utc > now:
                return False
            connection.execute(update(LEASES).where(*mine).values(worker=worker, until_utc=until))
            return True

    def give_back(self, job: str, worker: str) -> None:
        """Leave a job to others, where it is still this worker's."""
        columns = LEASES.c
        mine = (columns.farm_id == self._farm_id, columns.job == job, columns.worker == worker)
        with self._write() as connection:
            connection.execute(delete(LEASES).where(*mine))


def is_leased(connection: Connection, farm_id: int, job: str, worker: str) -> bool:
    """Whether a job is this worker's; held until the transaction ends, so that nobody takes it meanwhile."""
    columns = LEASES.c
    mine = (columns.farm_id == farm_id, columns.job == job, columns.worker == worker)
    return connection.execute(select(columns.worker).where(*mine).with_for_update()).first() is not None
