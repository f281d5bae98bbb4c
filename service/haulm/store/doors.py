"""Passwords and passes: what the doors keep beside the farm. Only digests are kept, and none is part of the journal."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import BindParameter, Connection, bindparam, delete, insert, or_, select, update

from haulm.store.at_once import AtOnce, Question
from haulm.store.tables.catalogue import FARMS, PASSWORDS, SESSIONS
from haulm.store.words import DoorRole, PassKind

BROWSER_DAYS, PROGRAM_DAYS = 30, 366
IDLE_DAYS = 14
_TOKEN_BYTES = 32
_NOTE_USE_EVERY = timedelta(hours=1)

Opened = Callable[[], AbstractContextManager[Connection]]


def _time(name: str) -> BindParameter[datetime]:
    return bindparam(name, type_=SESSIONS.c.ends_at_utc.type)


_GLANCE = (
    select(
        FARMS.c.version,
        PASSWORDS.c.role.is_not(None).label("is_locked"),
        SESSIONS.c.role,
        (SESSIONS.c.used_at_utc <= _time("noted_until")).label("is_to_note"),
    )
    .outerjoin(PASSWORDS, (PASSWORDS.c.farm_id == FARMS.c.id) & (PASSWORDS.c.role == str(DoorRole.OWNER)))
    .outerjoin(
        SESSIONS,
        (SESSIONS.c.farm_id == FARMS.c.id)
        & (SESSIONS.c.digest == bindparam("digest"))
        & (SESSIONS.c.ends_at_utc > _time("now"))
        & or_(SESSIONS.c.kind != str(PassKind.BROWSER), SESSIONS.c.used_at_utc > _time("idle_until")),
    )
    .where(FARMS.c.id == bindparam("farm_id"))
)
"""All that a door asks of the database, in one statement that is made once: every request waits for it."""
_GLANCE_AT_ONCE = Question(_GLANCE)


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


class _Seen(NamedTuple):
    """The row of a glance, as either driver gives it; before anything was written there is none."""

    version: int = 0
    is_locked: int = 0
    role: str | None = None
    is_to_note: int | None = None

    def glance(self) -> Glance:
        """What it tells."""
        return Glance(self.version, None if self.role is None else DoorRole(self.role), is_locked=bool(self.is_locked))


class Doors:
    """The doors of one farm, over connections that the store gives."""

    def __init__(self, read: Opened, write: Opened, at_once: AtOnce, farm_id: int) -> None:
        self._read = read
        self._write = write
        self._at_once = at_once
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
        values = self._asked(shown)
        with self._read() as connection:
            row = connection.execute(_GLANCE, values).one_or_none()
        found = _Seen(*row) if row is not None else _Seen()
        if found.is_to_note:
            mine = (SESSIONS.c.farm_id == self._farm_id, SESSIONS.c.digest == values["digest"])
            with self._write() as connection:
                connection.execute(update(SESSIONS).where(*mine).values(used_at_utc=values["now"]))
        return found.glance()

    def glance_at_once(self, shown: tuple[str, datetime] | None) -> Glance | None:
        """The same without waiting; None where only `glance` can tell, or has to note that a pass is used."""
        rows = self._at_once.rows(_GLANCE_AT_ONCE, self._asked(shown))
        if rows is None:
            return None
        found = _Seen(*rows[0]) if rows else _Seen()
        return None if found.is_to_note else found.glance()

    def _asked(self, shown: tuple[str, datetime] | None) -> dict[str, object]:
        """The values of a glance; without a moment no pass holds."""
        token, now = ("", None) if shown is None else shown
        return {
            "farm_id": self._farm_id,
            "digest": _digest(token),
            "now": now,
            "idle_until": now and now - timedelta(days=IDLE_DAYS),
            "noted_until": now and now - _NOTE_USE_EVERY,
        }

    def end_pass(self, token: str) -> None:
        """Makes one pass worth nothing."""
        with self._write() as connection:
            mine = (SESSIONS.c.farm_id == self._farm_id, SESSIONS.c.digest == _digest(token))
            connection.execute(delete(SESSIONS).where(*mine))


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
