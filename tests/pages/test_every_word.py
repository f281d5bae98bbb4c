"""Every word on a page goes through the catalogue: read in the pseudo-language, whatever stands plain was missed.

What people typed and what the farm calls its things stays as it is, and so do figures and a few words of programs.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from contextlib import closing
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from importlib import resources

import pytest

from haulm.crop_library.library import library
from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.language.pseudo import CLOSES, OPENS
from haulm.language.words import PSEUDO, speaking
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.every_page import EVERY_PAGE

DEMO = tuple(path for path in EVERY_PAGE if not path.startswith("/begin/place/"))
NOT_THE_HOUSE_S = {
    "/begin?place=Hereford": r"Hereford.*",  # names of places, as the gazetteer has them
    "/orders/anna-weekly/2027-09-14": r"anna-weekly",  # what the address asked for, which is not there
    "/links": r"http://.*",  # addresses
    "/journal": r", \d\d:\d\d, test",  # the time, and who wrote it
    "/journal/1": r", \d\d:\d\d, test",
}
"""What stands plain on a page and is no word of the house."""
_NOT_READ = re.compile(r"<(head|script|style|code|svg|textarea|option)\b.*?</\1>", re.DOTALL)
_SAID_TOO = re.compile(r'(?:aria-label|title|placeholder|alt)="([^"]*)"')
_PLAIN_WORD = re.compile(r"[A-Za-z][a-z]{2,}")


def plain_words(page: str, typed: re.Pattern[str]) -> list[str]:
    """The pieces of a page's text that nobody sent to be said, what people typed apart."""
    shown = _NOT_READ.sub(" ", page)
    pieces = [html.unescape(piece) for piece in re.split(r"<[^>]+>", shown)]
    pieces += map(html.unescape, _SAID_TOO.findall(shown))
    found = (" ".join(typed.sub(" ", _unsaid(piece)).split()) for piece in pieces)
    return sorted({piece for piece in found if _PLAIN_WORD.search(piece)})


def _unsaid(text: str) -> str:
    """A text without what stands between the brackets of the pseudo-language, one within another too."""
    left, deep = [], 0
    for letter in text:
        deep += (letter == OPENS) - (letter == CLOSES)
        left.append(" " if deep or letter == CLOSES else letter)
    return "".join(left)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    """The demo farm, its gaps worked out in the pseudo-language, with few seasons: words are looked at, not figures."""
    folder = resources.files("haulm.demo_farm").joinpath("folder")
    files = {one.name: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    with closing(sqlite_store(tmp_path_factory.mktemp("demo"))) as store, speaking(PSEUDO):
        desk = desk_over(store, files, today=date(2027, 3, 15), seasons=20)
        work_out_gaps(desk)
        with Door(desk) as door:
            yield door


@pytest.fixture(scope="module")
def typed(demo: Door) -> re.Pattern[str]:
    """Whatever the farm's own people typed, and what the library calls its kinds: names, colours, notes."""
    farm, plan = demo.desk.store.farm(), demo.desk.plan()
    found = set(_texts((farm, tuple(plan.crops.values()), tuple(library().values()))))
    longest_first = sorted((text for text in found if len(text) > 2), key=len, reverse=True)
    return re.compile(r"\b(?:" + "|".join(map(re.escape, longest_first)) + r")(?!\w)", re.IGNORECASE)


def _texts(value: object) -> Iterator[str]:
    """Every text within a value; no word of a closed list, which is the program's and not the farm's."""
    if isinstance(value, str) and not isinstance(value, Enum):
        yield value
        yield from re.split(r"; |\. ", value)
    elif is_dataclass(value):
        for item in fields(value):
            yield from _texts(getattr(value, item.name))
    elif isinstance(value, tuple | frozenset | list):
        for one in value:
            yield from _texts(one)


@pytest.mark.parametrize("path", DEMO)
def test_no_word_of_a_page_is_missing_in_the_catalogue(demo: Door, typed: re.Pattern[str], path: str) -> None:
    with speaking(PSEUDO):
        answer = demo.ask("GET", path)
    if "text/html" in answer.headers.get("content-type", ""):
        beside = re.compile(NOT_THE_HOUSE_S.get(path, "(?!)"))
        assert [piece for piece in plain_words(answer.text, typed) if not beside.fullmatch(piece)] == []
