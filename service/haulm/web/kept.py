"""Answers kept as bytes: worked out once while nothing they rest on has changed, then given again with a strong ETag.

A route declares it: `dependencies=[kept()]` says that its answer rests on the address, the caller's role, the farm's
version and today, and on nothing else; `kept(also=...)` names what else of the database there is. Who is asking is
looked up for every request, before anything that was kept is given. Where all of that can be told without waiting, the
server's own thread tells it: the way to another thread and back takes longer than the whole answer.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from datetime import date

from fastapi import Depends, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.params import Depends as DependsMark
from starlette.datastructures import MutableHeaders
from starlette.routing import BaseRoute
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from haulm.errors import HaulmError
from haulm.jobs.desk.desk import Desk
from haulm.store.at_once import Moment
from haulm.web.asking import Caller, caller_at_once, caller_of
from haulm.web.audience import Audience, audiences, declarations, is_listed

MOST_BYTES = 8 * 1024 * 1024
"""What all kept answers together may take; those that were not asked for longest go first."""
_BESIDE_BODY = 2048
"""What an answer takes beside its body, rounded up."""
_OWN_HEADERS = {"cache-control": "private, no-cache", "vary": "Authorization, Cookie"}
"""Nobody but the caller's own program may keep an answer, and it asks each time whether the answer still holds."""
_WITH_304 = (b"cache-control", b"vary", b"etag")

_Place = tuple[str, bytes]
"""A path and a query as they were sent."""
Also = Callable[[Desk], Hashable]
"""Tells something else of the database that an answer rests on, and rests on nothing beside it."""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """All that an answer to one caller at one address rests on."""

    version: int
    today: date
    also: Hashable


class Kept:
    """The dependency that lets a route's answers be kept, with what they rest on when the route begins."""

    def __init__(self, also: Also | None) -> None:
        """The mark; `also` tells what else an answer rests on."""
        self.also = also

    def __call__(self, request: Request) -> None:
        """Note the circumstances before the route looks at anything."""
        caller = caller_of(request)
        desk: Desk = request.app.state.desk
        request.state.kept = _Begun(self, caller, self.circumstances(desk, request.state.glance.version))

    def circumstances(self, desk: Desk, version: int) -> Circumstances:
        """The circumstances now, at a version that was just read."""
        with desk.store.read_already(version):
            today = desk.today()  # in the farm's zone, which its version tells
        return Circumstances(version, today, None if self.also is None else self.also(desk))


def kept(also: Also | None = None) -> DependsMark:
    """The declaration that a route's answers may be kept; `also` tells what else they rest on."""
    mark: DependsMark = Depends(Kept(also))
    return mark


def kept_routes(routes: Sequence[BaseRoute]) -> list[str]:
    """The routes that declare it, by methods and path."""
    return [name for name, marks in declarations(routes, Kept) if marks]


def require_own_people(routes: Sequence[BaseRoute]) -> None:
    """What is kept is told apart by role: an application that keeps what a link or anybody may ask does not start."""
    declared = audiences(routes)
    others = [name for name in kept_routes(routes) if declared[name] not in (Audience.OWNER, Audience.HAND)]
    assert not others, f"these routes are for others than the farm's own people: {others}"


def for_one_visit(request: Request) -> None:
    """Say that this answer holds something for one visit alone, such as a form's key: it is not kept."""
    request.state.kept = None


@dataclass(frozen=True, slots=True)
class _Begun:
    """A route that has begun to answer."""

    mark: Kept
    caller: Caller
    circumstances: Circumstances


@dataclass(slots=True)
class _Answer:
    """An answer as bytes, and when it holds; `moment` is one at which it was found to, if any."""

    begun: _Begun
    headers: tuple[tuple[bytes, bytes], ...]
    tag: str
    body: bytes
    moment: Moment | None = None


class Shelf:
    """The answers that are kept, within a bound. Used by the server's own thread alone."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        """An empty shelf."""
        self._most = most_bytes
        self._answers: OrderedDict[_Place, dict[Caller, _Answer]] = OrderedDict()
        self._version = 0
        self.bytes = 0

    def at(self, place: _Place) -> dict[Caller, _Answer] | None:
        """What is kept of an address, by caller."""
        found = self._answers.get(place)
        if found is not None:
            self._answers.move_to_end(place)
        return found

    def put(self, place: _Place, answer: _Answer) -> None:
        """Keep an answer in place of the one before it, and drop what is of an earlier version of the farm."""
        version = answer.begun.circumstances.version
        if version < self._version:
            return
        if version > self._version:
            self._answers.clear()
            self._version, self.bytes = version, 0
        mine = self._answers.setdefault(place, {})
        self.bytes -= _weight(mine)
        mine[answer.begun.caller] = answer
        self.bytes += _weight(mine)
        self._answers.move_to_end(place)
        while self.bytes > self._most:
            _, gone = self._answers.popitem(last=False)
            self.bytes -= _weight(gone)


def _weight(answers: dict[Caller, _Answer]) -> int:
    return sum(len(answer.body) + _BESIDE_BODY for answer in answers.values())


class KeptAnswers:
    """An application around another that gives kept answers, and keeps those of routes that declare it."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        """The answers around an application that is asked under these names."""
        self._app = app
        self._hosts = hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer from the shelf where that holds; else have the application answer, and keep it if it may be kept."""
        if scope["type"] != "http" or scope["method"] != "GET":
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        shelf: Shelf = request.app.state.shelf
        place = (scope["path"], scope["query_string"])
        known = shelf.at(place)
        if known is not None and is_listed(request, self._hosts):
            answer = await _holding(request, known)
            if answer is not None:
                await _give(request, answer, send)
                return
        await self._app(scope, receive, _Taking(request, shelf, place, send))


async def _holding(request: Request, known: dict[Caller, _Answer]) -> _Answer | None:
    """The answer for whoever asks, if it still holds; the application itself says what is refused."""
    desk: Desk = request.app.state.desk
    caller = caller_at_once(request)
    if caller is None:
        return await run_in_threadpool(_looked_up, request, known)
    answer = known.get(caller)
    if answer is None or answer.begun.circumstances.version != request.state.glance.version:
        return None
    moment = None if answer.begun.mark.also is None else desk.store.moment()
    if _surely_holds(answer, moment, desk):
        return answer
    found = await run_in_threadpool(_looked_up, request, known)
    if found is not None:
        found.moment = moment  # from before the thread looked: what was written since will be seen
    return found


def _surely_holds(answer: _Answer, moment: Moment | None, desk: Desk) -> bool:
    """Whether an answer of the farm's version holds, as far as can be told without waiting."""
    then, mark = answer.begun.circumstances, answer.begun.mark
    with desk.store.read_already(then.version) as is_in_memory:
        if not is_in_memory or desk.today() != then.today:
            return False
    return mark.also is None or (moment is not None and moment == answer.moment)


def _looked_up(request: Request, known: dict[Caller, _Answer]) -> _Answer | None:
    """The same by a thread that may wait."""
    desk: Desk = request.app.state.desk
    try:
        answer = known.get(caller_of(request))
        if answer is None:
            return None
        begun = answer.begun
        now = begun.mark.circumstances(desk, request.state.glance.version)
    except HaulmError:
        return None
    return answer if begun.circumstances == now else None


class _Taking:
    """What is sent, held back until it is whole where it may be kept."""

    def __init__(self, request: Request, shelf: Shelf, place: _Place, send: Send) -> None:
        self._request = request
        self._shelf = shelf
        self._place = place
        self._send = send
        self._start: Message | None = None
        self._body = bytearray()

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start" and message["status"] == 200 and self._begun is not None:
            self._start = message
            return
        if self._start is None:
            await self._send(message)
            return
        self._body += message.get("body", b"")
        if not message.get("more_body", False):
            await self._end(self._start)

    @property
    def _begun(self) -> _Begun | None:
        return getattr(self._request.state, "kept", None)

    async def _end(self, start: Message) -> None:
        begun, body = self._begun, bytes(self._body)
        assert begun is not None, "only what may be kept is held back"
        tag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
        headers = MutableHeaders(raw=list(start["headers"]))
        headers["etag"] = tag
        for name, value in _OWN_HEADERS.items():
            headers.setdefault(name, value)
        answer = _Answer(begun, tuple(headers.raw), tag, body)
        if await run_in_threadpool(_still, self._request, begun):
            self._shelf.put(self._place, answer)
        await _give(self._request, answer, self._send)


def _still(request: Request, begun: _Begun) -> bool:
    """Whether nothing that an answer rests on has changed while it was worked out."""
    desk: Desk = request.app.state.desk
    try:
        return begun.mark.circumstances(desk, desk.store.version()) == begun.circumstances
    except HaulmError:
        return False


async def _give(request: Request, answer: _Answer, send: Send) -> None:
    """Send an answer, or that the caller has it already."""
    if _has_it(request, answer.tag):
        headers = [(name, value) for name, value in answer.headers if name in _WITH_304]
        await send({"type": "http.response.start", "status": 304, "headers": headers})
        await send({"type": "http.response.body", "body": b""})
        return
    await send({"type": "http.response.start", "status": 200, "headers": list(answer.headers)})
    await send({"type": "http.response.body", "body": answer.body})


def _has_it(request: Request, tag: str) -> bool:
    """Whether If-None-Match names a tag (RFC 9110, 13.1.2): it is compared weakly, and `*` stands for any."""
    given = request.headers.getlist("if-none-match")
    named = {one.strip().removeprefix("W/") for line in given for one in line.split(",")}
    return tag in named or "*" in named
