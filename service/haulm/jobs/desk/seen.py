"""What somebody saw before a step that rests on it: its figures in words, their tag, and what is another since."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from haulm.errors import HaulmError
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

ANY_TAG = "*"
"""Stands for whatever is there: nobody had to look."""
Figures = Mapping[str, str]
"""What is shown, by name, in words: a day, money, a share in whole percent."""
_FIGURE_DIGITS = 8


@dataclass(frozen=True, slots=True)
class Shown:
    """Something as it is shown: what it is, and every figure that a step rests on."""

    what: str
    figures: Figures

    @property
    def tag(self) -> str:
        """A hash of every figure, one beside the other: whatever else is written leaves it as it is."""
        return "-".join(sorted(map(_mark, self.figures.items())))


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen: its tag, and the figures in words where they are known, to say what has changed."""

    tag: str = ANY_TAG
    figures: Figures = field(default_factory=dict[str, str])


ANYHOW = Seen()


@dataclass(frozen=True, slots=True)
class FigureChanged:
    """A figure that is another than was seen; None where it was not seen, or is not there any more."""

    what: str
    was: str | None
    now: str | None

    @property
    def facts(self) -> dict[str, str | None]:
        """As JSON."""
        return {"what": self.what, "was": self.was, "now": self.now}


class NotAsSeen(HaulmError):
    """What a step rests on is not as it was seen."""

    code = "not-as-seen"

    def __init__(self, *, shown: Shown, changes: tuple[FigureChanged, ...]) -> None:
        sentence = _("{what} is not as it was seen: look at it again, and decide by what it says now.").format(
            what=shown.what
        )
        facts: dict[str, Any] = {"etag": shown.tag, "changes": [one.facts for one in changes]}
        super().__init__(sentence, what=shown.what, **facts)
        self.changes = changes


def check_seen(work: UnitOfWork, seen: Seen, look: Callable[[UnitOfWork], Shown]) -> None:
    """Refuse a step, in its own transaction, where what it rests on is not as it was seen.

    Args:
        work: the step's unit of work.
        seen: what was seen.
        look: what is shown now; only asked where anybody had to look.

    Raises:
        NotAsSeen: a figure is another.
    """
    if seen.tag == ANY_TAG:
        return
    now = look(work)
    if seen.tag != now.tag:
        raise NotAsSeen(shown=now, changes=changed_figures(seen, now.figures))


def changed_figures(seen: Seen, now: Figures) -> tuple[FigureChanged, ...]:
    """The figures that are others than were seen: the tag alone tells which, the figures what they were."""
    marks = set(seen.tag.split("-"))
    others = [
        FigureChanged(name, seen.figures.get(name), words)
        for name, words in now.items()
        if _mark((name, words)) not in marks and seen.figures.get(name) != words
    ]
    gone = [FigureChanged(name, words, None) for name, words in seen.figures.items() if name not in now]
    return (*others, *gone)


def strong_hash(value: object) -> str:
    """A hash of a value as JSON: 32 digits of SHA-256."""
    return hashlib.sha256(json.dumps(value, sort_keys=True, separators=(",", ":")).encode()).hexdigest()[:32]


def _mark(figure: tuple[str, str]) -> str:
    return strong_hash(figure)[:_FIGURE_DIGITS]
