"""The early warning as a plain letter: short lines, the dates first, one thing to do for each gap."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from haulm.advice.options.option import Option
from haulm.advice.shortfalls import Gap
from haulm.farm.quantities import percent
from haulm.farm.weeks import day_in_words, weeks_in_words
from haulm.jobs.warn_early import Alert, Digest

_WIDTH = 76
_NAMING = {
    "swap": "A swap between {people} would give {asked}: ask them",
    "substitute": "Offer something else for {asked} to {people}",
    "ask_later": "Ask {people} whether they can do without {asked}",
    "more_of_one": "Ask {people} whether one kind may fill more than half of {asked}",
    "tell": "Tell {people} that {asked} may be short, and offer something else",
}
"""Kinds of option whose own sentence names customers, and what the letter says of them."""


def digest_text(digest: Digest) -> str:
    """The letter, lines of at most 76 characters."""
    parts = [*_head(digest), *_alerts(digest), *_tasks(digest), *_notes(digest), *_foot()]
    return "\n".join(parts) + "\n"


def _head(digest: Digest) -> Iterator[str]:
    yield f"{digest.farm}, {day_in_words(digest.day)}"
    yield ""
    if digest.forecast_missing:
        yield from _wrapped(digest.forecast_missing)
        yield ""


def _alerts(digest: Digest) -> Iterator[str]:
    count = len(digest.alerts) + digest.more_gaps
    if digest.closed:
        yield from _wrapped(f"No longer short: {', '.join(digest.closed)}.")
        yield ""
    if not count:
        yield from _wrapped(f"Nothing is short {digest.levels}.")
        return
    yield from _wrapped(f"{count} gap{'s' if count > 1 else ''} {digest.levels}, by the day to decide:")
    for alert in digest.alerts:
        if not alert.is_told:
            yield ""
            yield from _alert(alert)
    yield from _told(alert for alert in digest.alerts if alert.is_told)
    if digest.more_gaps:
        yield ""
        yield f"and {digest.more_gaps} more: see the list of shortfalls."


def _alert(alert: Alert) -> Iterator[str]:
    when = weeks_in_words(alert.gap.weeks)
    yield from _wrapped(f"{_by(alert)}: {alert.asked}, {when} ({alert.change})")
    yield from _wrapped(f"{missing_sentence(alert.gap)}", "  ")
    yield from _wrapped(f"-> {unnamed_sentence(alert.best, alert.asked)}", "  ")


def _by(alert: Alert) -> str:
    """The day to act as a line begins with it."""
    return "Soon" if alert.decide_by is None else f"By {day_in_words(alert.decide_by)}"


def unnamed_sentence(best: Option | None, asked: str) -> str:
    """What to do, without the names of customers: a letter may lie about."""
    if best is None:
        return "What to do about it is still being worked out."
    if best.kind not in _NAMING:
        return best.sentence
    count = len({line.customer for line in best.lines}) or "the"
    people = "a customer" if count == 1 else f"{count} customers"
    asks = _NAMING[best.kind].format(people=people, asked=asked)
    return f"{asks} by {day_in_words(best.act_by)}; the page says whom."


def _told(alerts: Iterable[Alert]) -> Iterator[str]:
    """One line for each gap that is as the letter before told it."""
    for place, alert in enumerate(alerts):
        if not place:
            yield ""
            yield "As told before:"
        weeks = weeks_in_words(alert.gap.weeks)
        yield from _wrapped(f"{_by(alert)}: {alert.asked}, {weeks}", "  ")


def missing_sentence(gap: Gap) -> str:
    """What a gap lacks and for how many orders; nobody's name is in it."""
    orders = len({short.line.order for short in gap.shortfalls})
    count = f"{orders} order{'s' if orders > 1 else ''}"
    return f"about {gap.expected_missing:.0f} stems short, {percent(gap.confidence)} sure, for {count}."


def _tasks(digest: Digest) -> Iterator[str]:
    yield ""
    if not digest.tasks:
        yield "Nothing is due on the farm in the coming week."
        return
    yield "Due in the coming week:"
    for task in digest.tasks:
        yield from _wrapped(f"{day_in_words(task.day)}  {task.sentence}", "  ")


def _notes(digest: Digest) -> Iterator[str]:
    if digest.notes:
        yield ""
    for note in digest.notes:
        yield from _wrapped(note)


def _foot() -> Iterator[str]:
    yield ""
    yield from _wrapped(
        "Forecasts are estimates, not guarantees. Check a heated bench and wear gloves where a kind asks it."
    )


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_long_words=False)
