"""Moments as text: when something was typed, in UTC, to the millisecond, so that texts stand in the order of time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from haulm.language.words import marked

MOMENT_SENTENCE = marked("a time such as 2027-06-14T07:12:00Z, years 1900 to 2999; without a zone it is UTC")
_TICK = timedelta(milliseconds=1)


def moment_text(moment: datetime) -> str:
    """The text of a moment; one without a zone is taken to be UTC."""
    aware = moment if moment.tzinfo is not None else moment.replace(tzinfo=UTC)
    return aware.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def parsed_moment(text: str) -> str:
    """The text of a moment that was written in any way of ISO 8601.

    Raises:
        ValueError: it is none, or outside the years 1900 to 2999.
    """
    moment = datetime.fromisoformat(text)
    # Without the outermost years, since a zone may move a moment into the year beside its own.
    if not (text.isascii() and "T" in text and 1900 < moment.year < 2999):
        raise ValueError(text)
    return moment_text(moment)


def is_moment(text: str) -> bool:
    """Whether a text is a moment as `moment_text` writes it."""
    try:
        return parsed_moment(text) == text
    except ValueError:
        return False


def moment_after(text: str) -> str:
    """The next moment after one."""
    return moment_text(datetime.fromisoformat(text) + _TICK)
