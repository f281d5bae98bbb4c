"""Messages and their translations: `_` says one message in the language that is spoken now, `many` one of a count.

The messages themselves are the English of the house, so English needs no catalogue. Which language is spoken is set for
one request, letter or paper with `speaking`, never for the process.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from importlib import resources
from typing import Final

from haulm.language.pseudo import PseudoTranslations

ENGLISH: Final = "en"
PSEUDO: Final = "en-x-pseudo"
"""English with other letters and in brackets: what stays plain in it was never sent through here."""
_DOMAIN = "haulm"
_spoken: ContextVar[str] = ContextVar("spoken", default=ENGLISH)


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Speak a language until the end of the block; one without a catalogue is English."""
    before = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(before)


def spoken() -> str:
    """The language that is spoken now, as a tag: `en`."""
    return _spoken.get()


def languages() -> tuple[str, ...]:
    """The languages that people may choose: English first, then every one that has a catalogue."""
    return (ENGLISH, *sorted(_catalogues()))


def _(message: str) -> str:
    """A message in the language that is spoken now; placeholders stay, for the caller to fill in."""
    # The catalogue keeps its own head under the empty message.
    return _translations().gettext(message) if message else ""


def one_or_more(one: str, more: str, count: int) -> str:
    """One of two messages by a count, placeholders as they are."""
    return _translations().ngettext(one, more, count)


def many(one: str, more: str, count: int) -> str:
    """One of two messages by a count, with `{count}` filled in: `3 bunches`."""
    return one_or_more(one, more, count).format(count=f"{count:,}")


def marked(message: str) -> str:
    """The message itself: marks for the catalogue what is said later, where it stands in a table."""
    return message


def _translations() -> gettext.NullTranslations:
    language = _spoken.get()
    if language == PSEUDO:
        return PseudoTranslations()
    return _catalogues().get(language, _PLAIN)


_PLAIN = gettext.NullTranslations()


@cache
def _catalogues() -> dict[str, gettext.NullTranslations]:
    """Every language that has a compiled catalogue in this package, by its tag."""
    found: dict[str, gettext.NullTranslations] = {}
    for folder in resources.files("haulm.language").joinpath("catalogues").iterdir():
        compiled = folder.joinpath("LC_MESSAGES", f"{_DOMAIN}.mo")
        if folder.is_dir() and compiled.is_file():
            with compiled.open("rb") as opened:
                found[folder.name] = gettext.GNUTranslations(opened)
    return found
