"""Passwords and passes: what the doors keep beside the farm. Only digests are kept, and none is part of the journal."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Row, bindparam, delete, insert, select, update

from haulm.store.tables.catalogue import FARMS, PASSWORDS, SESSIONS
from haulm.store.words import DoorRole, PassKind

BROWSER_DAYS, PROGRAM_DAYS = 30, 366
IDLE_DAYS = 14
_TOKEN_BYTES = 32
_NOTE_USE_EVERY = timedelta(hours=1)

Opened = Callable[[], AbstractContextManager[Connection]]

_GLANCE = (
    select(
        FARMS.c.version,
        PASSWORDS.c.role.is_not(None).label("is_locked"),
        SESSIONS.c.role,
        SESSIONS.c.kind,
        SESSIONS.c.used_at_utc,
    )
    .outerjoin(PASSWORDS, (PASSWORDS.c.farm_id == FARMS.c.id) & (PASSWORDS.c.role == str(DoorRole.OWNER)))
    .outerjoin(
        SESSIONS,
        (SESSIONS.c.farm_id == FARMS.c.id)
        & (SESSIONS.c.digest == bindparam("digest"))
        & (SESSIONS.c.ends_at_utc > bindparam("now", type_=SESSIONS.c.ends_at_utc.type)),
    )
    .where(FARMS.c.id == bindparam("farm_id"))
)
"""All that a door asks of the database, in one statement that is made once: every request waits for it."""


@dataclass(frozen=True, slots=True)
class Glance:
    """What a door sees when somebody comes.

    Attributes:
        version: the farm's version at that moment.
        role: whose pass is shown, if it holds.
        is_locked: whether the owner has set a password.
    """

    version: int
    role: DoorRole | None
    is_locked: bool


class Doors:
    """The doors of one farm, over connections that the store gives."""

    def __init__(self, read: Opened, write: Opened, farm_id: int) -> None:
        self._read = read
        self._write = write
        self._farm_id = farm_id

    def password_hashes(self) -> dict[DoorRole, str]:
        """The hash of each role's password; empty while none is set."""
        columns = PASSWORDS.c
        with self._read() as connection:
            found = connection.execute(select(columns.role, columns.hash).where(columns.farm_id == self._farm_id))
            return {DoorRole(row.role): row.hash for row in found}

    def set_password(self, role: DoorRole, hashed: str, now: datetime) -> None:
        """Sets a role's password; whoever came in with the old one is out."""
        with self._write() as connection:
            connection.execute(delete(PASSWORDS).where(PASSWORDS.c.farm_id == self._farm_id, PASSWORDS.c.role == role))
            values = {"farm_id": self._farm_id, "role": str(role), "hash": hashed, "set_at_utc": now}
            connection.execute(insert(PASSWORDS).values(**values))
            connection.execute(delete(SESSIONS).where(SESSIONS.c.farm_id == self._farm_id, SESSIONS.c.role == role))

    def make_pass(self, role: DoorRole, kind: PassKind, now: datetime) -> str:
        """A new pass: the token to show, told once. Passes that are over are forgotten."""
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        days = BROWSER_DAYS if kind is PassKind.BROWSER else PROGRAM_DAYS
        values = {
            "farm_id": self._farm_id,
            "digest": _digest(token),
            "role": str(role),
            "kind": str(kind),
            "made_at_utc": now,
            "used_at_utc": now,
            "ends_at_utc": now + timedelta(days=days),
        }
        over = (SESSIONS.c.farm_id == self._farm_id, SESSIONS.c.ends_at_utc <= now)
        with self._write() as connection:
            connection.execute(delete(SESSIONS).where(*over))
            connection.execute(insert(SESSIONS).values(**values))
        return token

    def end_passes(self, role: DoorRole, kind: PassKind) -> int:
        """End every pass of a role and kind; gives how many there were."""
        mine = (SESSIONS.c.farm_id == self._farm_id, SESSIONS.c.role == str(role), SESSIONS.c.kind == str(kind))
        with self._write() as connection:
            return connection.execute(delete(SESSIONS).where(*mine)).rowcount

    def role_of(self, token: str, now: datetime) -> DoorRole | None:
        """Whose pass a token is, if it holds; a browser's is over after two weeks without use."""
        return self.glance((token, now)).role

    def glance(self, shown: tuple[str, datetime] | None) -> Glance:
        """Who comes with a token, shown at a moment, or without one; and how the farm stands."""
        token, now = ("", None) if shown is None else shown
        digest = _digest(token)
        with self._read() as connection:
            row = connection.execute(_GLANCE, {"farm_id": self._farm_id, "digest": digest, "now": now}).one_or_none()
        if row is None:
            return Glance(0, None, is_locked=False)
        role = None if now is None else self._holder(row, digest, now)
        return Glance(row.version, role, is_locked=bool(row.is_locked))

    def _holder(self, row: Row[Any], digest: str, now: datetime) -> DoorRole | None:
        """Whose pass was found; its use is noted now and then."""
        if row.role is None or (row.kind == PassKind.BROWSER and row.used_at_utc <= now - timedelta(days=IDLE_DAYS)):
            return None
        if row.used_at_utc <= now - _NOTE_USE_EVERY:
            mine = (SESSIONS.c.farm_id == self._farm_id, SESSIONS.c.digest == digest)
            with self._write() as connection:
                connection.execute(update(SESSIONS).where(*mine).values(used_at_utc=now))
        return DoorRole(row.role)

    def end_pass(self, token: str) -> None:
        """Makes one pass worth nothing."""
        with self._write() as connection:
            mine = (SESSIONS.c.farm_id == self._farm_id, SESSIONS.c.digest == _digest(token))
            connection.execute(delete(SESSIONS).where(*mine))


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
