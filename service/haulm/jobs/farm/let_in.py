"""Passwords: setting one, and letting somebody in who knows it."""

from __future__ import annotations

import threading

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError

from haulm.errors import HaulmError, NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.store.words import DoorRole, PassKind

LEAST_LENGTH, MOST_LENGTH = 10, 1000
# 19 MiB, two passes, one lane: what OWASP's password storage guide names for Argon2id, and quick enough for two cores.
_HASHER = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)
_AT_ONCE = threading.Semaphore(2)
"""A hash takes a core and 19 MiB: more at once would only slow everybody."""
_NOBODYS = _HASHER.hash("the password of nobody")
"""Tried where no password is set, so that the answer takes as long."""


class NotLetIn(HaulmError):
    """The password is not that of anybody who may come in."""

    code = "not-let-in"

    def __init__(self) -> None:
        super().__init__(_("That password is not known here."))


def set_password(desk: Desk, role: DoorRole, password: str) -> None:
    """Set the password of a role; whoever came in with the old one has to log in again.

    Raises:
        NotAccepted: the password is too short or too long.
    """
    if not LEAST_LENGTH <= len(password) <= MOST_LENGTH:
        accepted = _("{least} to {most} characters").format(least=LEAST_LENGTH, most=MOST_LENGTH)
        raise NotAccepted(
            where="password", found=_("{count} characters").format(count=len(password)), accepted=accepted
        )
    with _AT_ONCE:
        hashed = _HASHER.hash(password)
    desk.store.doors.set_password(role, hashed, desk.now())


def log_in(desk: Desk, password: str) -> str:
    """The token of a new pass for whoever's password it is.

    Raises:
        NotLetIn: it is nobody's.
    """
    hashes = desk.store.doors.password_hashes()
    known = [role for role in DoorRole if _is_right(hashes.get(role, _NOBODYS), password) and role in hashes]
    if not known:
        raise NotLetIn
    return desk.store.doors.make_pass(known[0], PassKind.BROWSER, desk.now())


def give_token(desk: Desk, role: DoorRole) -> str:
    """A token for a program of this role, told once; setting a new password ends it."""
    return desk.store.doors.make_pass(role, PassKind.PROGRAM, desk.now())


def end_tokens(desk: Desk, role: DoorRole) -> int:
    """End every token that programs of this role show; gives how many there were."""
    return desk.store.doors.end_passes(role, PassKind.PROGRAM)


def _is_right(hashed: str, password: str) -> bool:
    with _AT_ONCE:
        try:
            return _HASHER.verify(hashed, password[:MOST_LENGTH])
        except (VerifyMismatchError, InvalidHashError):
            return False
