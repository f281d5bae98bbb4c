"""Whatever stands in an address, it is answered: every route that is read, with odd parts and odd questions.

The routes are the application's own, so that a new one is asked without anybody writing it down here.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Iterator
from urllib.parse import quote

import pytest
from fastapi.routing import APIRoute, iter_route_contexts

from support import scale
from support.door import Door
from support.known_farm import PARTY, known_farm

ODD = (
    "9999-12-31",
    "0001-01-01",
    "2027-02-30",
    "2027-06-14",
    "9999-W52",
    "0001-W01",
    "2027-W99",
    "9" * 30,
    "-1",
    "0",
    "1e400",
    "nan",
    "anna",
    "lagurus",
    "lagurus:dried",
    "no such key",
    "x" * 5000,
    "../..",
    "a/b",
    "{name} %s",
    "<b>&\"'",
    "\U0001f33c\u2028",
)
RAW = ("%00", "%ff", "%F0%9F", "%C0%AF", "%u0041")
"""Parts of an address that are no UTF-8, or no text at all."""
ROUTES_AT_LEAST = 120


def addresses(path: str, asked: list[str]) -> Iterator[str]:
    """The address of a route with each odd value in all its places, then with each in all its questions."""
    odd = [*(quote(text, safe="") for text in ODD), *RAW]
    if "{" in path:
        yield from (_filled(path, text) for text in odd)
    if asked:
        yield from (f"{_filled(path, 'anna')}?{'&'.join(f'{name}={text}' for name in asked)}" for text in odd)


def some(path: str, asked: list[str]) -> list[str]:
    """All addresses of a route in the long run; else one of its places and one of its questions, by its own name."""
    found = list(addresses(path, asked))
    half = len(ODD) + len(RAW)
    return found if scale.is_large() else found[zlib.crc32(path.encode()) % half :: half]


def read_routes(door: Door) -> Iterator[tuple[str, list[str]]]:
    """Every route that is read: its path, and what may be asked of it."""
    for context in iter_route_contexts(door.app.routes):
        route = context.original_route
        if isinstance(route, APIRoute) and "GET" in (context.methods or ()) and context.path:
            wanted = [route.dependant, *route.dependant.dependencies]
            yield context.path, [param.alias for one in wanted for param in one.query_params]


def _filled(path: str, text: str) -> str:
    return re.sub(r"\{\w+(:path)?\}", lambda _: text, path)


@pytest.fixture
def door(open_door: Callable[[dict[str, bytes]], Door]) -> Door:
    """A farm of known stems with a contracted order."""
    return open_door(known_farm(**PARTY, beds="key,name\npond,Pond bed"))


def test_every_route_that_is_read_answers_whatever_stands_in_its_address(door: Door) -> None:
    routes = list(read_routes(door))
    assert len(routes) > ROUTES_AT_LEAST
    tried = [address for path, asked in routes for address in some(path, asked)]
    assert len(tried) > len(routes) / 2
    for address in tried:
        assert door.ask("GET", address).status_code < 500, address[:200]
