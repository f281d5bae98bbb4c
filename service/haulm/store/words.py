"""The closed vocabularies of the two books."""

from __future__ import annotations

from enum import StrEnum


class PromiseState(StrEnum):
    """Where the promise of one line on one due date stands."""

    ASKED = "asked"
    HELD = "held"
    CONTRACTED = "contracted"
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


NEXT_STATES: dict[PromiseState | None, frozenset[PromiseState]] = {
    None: frozenset({PromiseState.ASKED, PromiseState.HELD, PromiseState.CONTRACTED}),
    PromiseState.ASKED: frozenset(set(PromiseState) - {PromiseState.DELIVERED}),
    PromiseState.HELD: frozenset(set(PromiseState) - {PromiseState.ASKED, PromiseState.DELIVERED}),
    PromiseState.CONTRACTED: frozenset({PromiseState.CONTRACTED, PromiseState.RELEASED, PromiseState.DELIVERED}),
}
"""What may follow what (None: nothing open). Held, held: a longer hold; contracted, contracted: other numbers."""
