"""The early warning as a plain letter: short lines, the dates first, one thing to do for each."""

from __future__ import annotations

from collections.abc import Iterator

from haulm.farm.weeks import day_in_words
from haulm.jobs.warning.letter_lines import wrapped
from haulm.jobs.warning.warn_early import Digest
from haulm.language.words import marked

FOOT = marked("Forecasts are estimates, not guarantees. Check a heated bench and wear gloves where a kind asks it.")


def digest_text(digest: Digest) -> str:
    """The letter, lines of at most 76 characters."""
    return "\n".join([*_head(digest), *digest.body.lines, *_foot(digest)]) + "\n"


def _head(digest: Digest) -> Iterator[str]:
    yield f"{digest.farm}, {day_in_words(digest.day)}"
    yield ""
    if digest.forecast_missing:
        yield from wrapped(digest.forecast_missing)
        yield ""
    for sentence in digest.opening:
        yield from wrapped(sentence)
    if digest.opening and digest.body.items:
        yield ""


def _foot(digest: Digest) -> Iterator[str]:
    yield ""
    yield from wrapped(digest.judged)
    yield from wrapped(FOOT)
