"""The refusals of taking back."""

from __future__ import annotations

from collections.abc import Sequence

from haulm.errors import HaulmError


class NotTakenBack(HaulmError):
    """An entry cannot be taken back, or not before others are."""

    code = "not-taken-back"

    def __init__(self, *, entry: int, why: str, first: Sequence[int] = ()) -> None:
        super().__init__(why, entry=entry, first=list(first))
        self.first = tuple(first)
