"""The closed vocabularies of the two books."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class PromiseState(StrEnum):
    """Where the promise of one line on one due date stands."""

    ASKED = "asked"
    HELD = "held"
    CONTRACTED = "contracted"
    SETTLED = "settled"
    RELEASED = "released"
    LAPSED = "lapsed"
    DELIVERED = "delivered"

    @property
    def is_open(self) -> bool:
        """Whether a later record may still resolve it."""
        return self in (PromiseState.ASKED, PromiseState.HELD, PromiseState.CONTRACTED)


class Account(StrEnum):
    """Where stems are. `field` is the source: it may go below zero, the others never do."""

    FIELD = "field"
    CUT = "cut"
    STORE = "store"
    PACKED = "packed"
    DELIVERED = "delivered"
    STALL = "stall"
    DRIED = "dried"
    WASTE = "waste"


class DoorRole(StrEnum):
    """Who can have a password."""

    OWNER = "owner"
    HAND = "hand"


class PassKind(StrEnum):
    """What shows a pass: a browser that logged in, or a program that was given a token."""

    BROWSER = "browser"
    PROGRAM = "program"


class LetterState(StrEnum):
    """How far a letter has come."""

    WAITING = "waiting"
    SENT = "sent"
    BOUNCED = "bounced"
    GIVEN_UP = "given_up"
    LEFT_OUT = "left_out"


AT_FIRST = frozenset(PromiseState)
"""What a line's first record may say: a farm that was imported has promises made before there was a book."""
AFRESH = frozenset({PromiseState.ASKED, PromiseState.HELD, PromiseState.CONTRACTED})
"""What may follow a promise that is over."""
NEXT_STATES: Mapping[PromiseState, frozenset[PromiseState]] = {
    PromiseState.ASKED: AT_FIRST,
    PromiseState.HELD: AT_FIRST - {PromiseState.ASKED},
    PromiseState.CONTRACTED: frozenset(
        {PromiseState.CONTRACTED, PromiseState.SETTLED, PromiseState.RELEASED, PromiseState.DELIVERED}
    ),
    PromiseState.SETTLED: frozenset(
        {PromiseState.CONTRACTED, PromiseState.SETTLED, PromiseState.RELEASED, PromiseState.DELIVERED}
    ),
    PromiseState.RELEASED: AFRESH,
    PromiseState.LAPSED: AFRESH,
    PromiseState.DELIVERED: AFRESH,
}
"""What may follow what. Held after held: a longer hold; contracted or settled after itself: other numbers."""
