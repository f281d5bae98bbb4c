"""What it costs to wait with a gap: what the best way still possible a week later is worth less than the best now."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.option import Option
from haulm.language.words import _, marked

WEEK = timedelta(days=7)
_NAMES = (
    (0.2, marked("a little")),
    (0.29, marked("a quarter")),
    (0.42, marked("a third")),
    (0.58, marked("half")),
    (0.7, marked("two thirds")),
)
_MORE, _MOST = (0.85, marked("three quarters")), marked("most")


@dataclass(frozen=True, slots=True)
class Waiting:
    """What a gap stands to lose; minor units.

    Attributes:
        loses_minor: what the best way is worth now, all of which is lost where nothing is done.
        week_minor: the part of it that is lost by a week's waiting.
    """

    loses_minor: int
    week_minor: int


def waiting(options: Sequence[Option], today: date) -> Waiting:
    """What it costs to wait with a gap.

    A way that needs an order is possible until its order-by day, another until its own last day.

    Args:
        options: the ways that can still help.
        today: none of them lies before it.
    """
    now = _best(options)
    later = _best(option for option in options if option.act_by >= today + WEEK)
    return Waiting(now, max(0, now - later))


def worth_minor(option: Option) -> int:
    """What the promises that a way keeps are sold for, less all that it costs; nought where that is no gain."""
    worth = option.worth
    return 0 if worth is None else max(0, worth.gained_minor - max(0, worth.net_minor))


def share_closed(option: Option) -> float:
    """The share of what a gap lacks that a way gives, 0-1: all where it closes the gap, on average else."""
    if option.closes:
        return 1.0
    before = option.before.missing
    return 0.0 if option.after is None or before <= 0 else max(0.0, 1.0 - option.after.missing / before)


def share_in_words(share: float) -> str:
    """A share below one as people say it: `half`, `two thirds`."""
    return _(next((words for least, words in (*_NAMES, _MORE) if share < least), _MOST))


def _best(options: Iterable[Option]) -> int:
    return max(map(worth_minor, options), default=0)
