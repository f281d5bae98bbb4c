"""Faults: what is wrong with something written down, as values, so that all of them are found before a refusal."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.language.words import _

Way = tuple[str | int, ...]
_LONGEST_SHOWN = 60


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that cannot be accepted.

    Attributes:
        place: the collection (`orders`, or `site`), or the file (`orders.csv`).
        row: in a collection the index of the row, 0 first; in a file the row as a spreadsheet shows it, the header
            being row 1; None where it is about the whole.
        column: the column or setting, or None.
        found: what was found, quoted where it is somebody's text.
        accepted: what would have been accepted.
        within: the way to the row in what was sent, by names and by places in lists; empty where the row is all of it.
    """

    place: str
    row: int | None
    column: str | None
    found: str
    accepted: str
    within: Way = ()

    def __post_init__(self) -> None:
        assert self.found, "a refusal says what was found"
        assert self.accepted, "a refusal says what would be accepted"

    def __str__(self) -> str:
        row = "" if self.row is None else _(" row {row}").format(row=self.row)
        column = "" if self.column is None else f", {self.column}"
        return _("{place}{row}{column}: found {found}; accepted is {accepted}.").format(
            place=self.place, row=row, column=column, found=self.found, accepted=self.accepted
        )


def quoted(text: str) -> str:
    """Somebody's text as a fault shows it: in quotes, on one line, cut where it is long."""
    shown = text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "..."
    return "'" + "".join(char if char.isprintable() else f"\\u{ord(char):04x}" for char in shown) + "'"
