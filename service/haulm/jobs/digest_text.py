"""The early warning as a plain letter: short lines, the dates first, one thing to do for each gap."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from datetime import date

from haulm.jobs.warn_early import Alert, Digest

_WIDTH = 76


def digest_text(digest: Digest) -> str:
    """The letter, lines of at most 76 characters."""
    parts = [*_head(digest), *_alerts(digest), *_tasks(digest), *_foot()]
    return "\n".join(parts) + "\n"


def _head(digest: Digest) -> Iterator[str]:
    yield f"{digest.farm}, {_day(digest.day)}"
    yield ""
    if digest.forecast_missing:
        yield from _wrapped(digest.forecast_missing)
        yield ""


def _alerts(digest: Digest) -> Iterator[str]:
    count = len(digest.alerts) + digest.more_gaps
    if not count:
        yield f"Nothing is short at {digest.level:.0%} sure."
        return
    yield f"{count} gap{'s' if count > 1 else ''} at {digest.level:.0%} sure, by the day to decide:"
    for alert in digest.alerts:
        yield ""
        yield from _alert(alert)
    if digest.more_gaps:
        yield ""
        yield f"and {digest.more_gaps} more: see the list of shortfalls."


def _alert(alert: Alert) -> Iterator[str]:
    weeks = alert.gap.weeks
    when = str(weeks[0]) if len(weeks) == 1 else f"{weeks[0]} to {weeks[-1]}"
    people = ", ".join(sorted({short.line.customer for short in alert.gap.shortfalls}))
    head = f"By {_day(alert.decide_by)}: {alert.gap.asked}, {when}"
    yield from _wrapped(head)
    yield from _wrapped(
        f"about {alert.gap.expected_missing:.0f} stems short, {alert.gap.confidence:.0%} sure, for {people}.", "  "
    )
    if alert.best is not None:
        yield from _wrapped(f"-> {alert.best.sentence}", "  ")


def _tasks(digest: Digest) -> Iterator[str]:
    yield ""
    if not digest.tasks:
        yield "Nothing is due on the farm in the coming week."
        return
    yield "Due in the coming week:"
    for task in digest.tasks:
        yield from _wrapped(f"{_day(task.day)}  {task.sentence}", "  ")


def _foot() -> Iterator[str]:
    yield ""
    yield from _wrapped(
        "Forecasts are estimates, not guarantees. Check a heated bench and wear gloves where a kind asks it."
    )


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_long_words=False)


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"
