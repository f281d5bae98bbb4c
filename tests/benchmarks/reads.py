"""Reads of the served demo farm, per second, beside a bare framework that gives the same bytes. Read ratios.

    python tests/benchmarks/reads.py

Both are served by the same server, each in a process of its own, and asked by eight connections of this process; the
two take turns, so that both have the same machine. The demo farm is asked as its owner on the farm's own computer, and
again as somebody who logged in, with and without `If-None-Match`. Aims: a quarter of the bare framework for what REST
answers, an eighth for pages.
"""

from __future__ import annotations

import io
import multiprocessing
import selectors
import socket
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import partial
from importlib import resources
from multiprocessing.connection import Connection
from pathlib import Path

import uvicorn
from fastapi import FastAPI, Request, Response

from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.import_farm import import_farm
from haulm.jobs.farm.let_in import give_token
from haulm.opening import desk_over
from haulm.serving import listening, serve
from haulm.settings import Settings
from haulm.store.store import Store
from haulm.store.words import DoorRole

TODAY = date(2027, 3, 15)
CONNECTIONS = 8
TURNS = 3
SECONDS_A_TURN = 1.5
REST = ("/v1/shortfalls", "/v1/outlook", "/v1/match", "/v1/availability")
PAGES = ("/", "/short", "/free", "/orders", "/plan")
Headers = dict[str, str]


@dataclass(frozen=True)
class Answer:
    """One answer as it came: its status, its headers by small name, its body."""

    status: int
    headers: Headers
    body: bytes


def main() -> None:
    """Print the table."""
    with (
        tempfile.TemporaryDirectory() as place,
        process(partial(serve_demo, place=Path(place))) as farm,
        process(serve_bare) as bare,
    ):
        print(f"{'read':34} {'bytes':>8} {'ours':>8} {'bare':>8} {'ratio':>6}   aim   304: {'ours':>6} {'ratio':>6}")
        for aim, paths in ((1 / 4, REST), (1 / 8, PAGES)):
            for path in paths:
                print(row(farm.port, bare.port, path, {}, aim), flush=True)
                shown = {"Authorization": f"Bearer {farm.token}"}
                print(row(farm.port, bare.port, path, shown, aim), flush=True)


def row(farm: int, bare: int, path: str, headers: Headers, aim: float) -> str:
    """One line of the table: reads a second of both, the whole answer and that nothing has changed."""
    found = one(farm, path, headers)
    assert found.status == 200, found
    assert one(bare, path, {}, found.body).status == 200
    assert one(bare, path, {}).body == found.body
    tag = found.headers.get("etag")
    unchanged = {**headers, "If-None-Match": tag} if tag else None
    if unchanged is not None:
        assert one(farm, path, unchanged).status == 304
    ours, theirs, short = [], [], []
    for _ in range(TURNS):
        theirs.append(per_second(bare, path, {}))
        ours.append(per_second(farm, path, headers))
        if unchanged is not None:
            short.append(per_second(farm, path, unchanged))
    name = f"{path}{', logged in' if headers else ''}"
    ratio = max(ours) / max(theirs)
    after = f"{max(short):11.0f} {max(short) / max(theirs):6.2f}" if short else f"{'no ETag':>11}"
    return f"{name:34} {len(found.body):8,} {max(ours):8.0f} {max(theirs):8.0f} {ratio:6.2f}   {aim:.3f} {after}"


def per_second(port: int, path: str, headers: Headers) -> float:
    """How many of a request are answered in a second, over several connections that each wait for their answer."""
    sent = asked("GET", path, headers)
    with selectors.DefaultSelector() as ready:
        for _ in range(CONNECTIONS):
            link = socket.create_connection(("127.0.0.1", port))
            link.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            ready.register(link, selectors.EVENT_READ, bytearray())
            link.sendall(sent)
        count, start = 0, time.perf_counter()
        while (passed := time.perf_counter() - start) < SECONDS_A_TURN:
            for key, _ in ready.select():
                link, held = key.fileobj, key.data
                held += link.recv(1 << 20)
                if (length := whole(held)) is not None:
                    del held[:length]
                    count += 1
                    link.sendall(sent)
        for key in list(ready.get_map().values()):
            key.fileobj.close()
    return count / passed


def one(port: int, path: str, headers: Headers, body: bytes | None = None) -> Answer:
    """One answer; with a body, the answer to a POST."""
    with socket.create_connection(("127.0.0.1", port)) as link:
        link.sendall(asked("GET" if body is None else "POST", path, headers, body or b""))
        held = bytearray()
        while whole(held) is None:
            part = link.recv(1 << 20)
            assert part, "the answer ended early"
            held += part
    head, _, content = bytes(held).partition(b"\r\n\r\n")
    first, *lines = head.decode("latin-1").split("\r\n")
    found = dict(line.split(": ", 1) for line in lines)
    return Answer(int(first.split()[1]), {name.lower(): value for name, value in found.items()}, content)


def asked(method: str, path: str, headers: Headers, body: bytes = b"") -> bytes:
    """A request as bytes."""
    lines = [f"{method} {path} HTTP/1.1", "Host: 127.0.0.1", f"Content-Length: {len(body)}"]
    lines += [f"{name}: {value}" for name, value in headers.items()]
    return "\r\n".join([*lines, "", ""]).encode() + body


def whole(held: bytearray) -> int | None:
    """How many bytes the first answer of these takes; None while it is not all there."""
    end = held.find(b"\r\n\r\n")
    if end < 0:
        return None
    head = bytes(held[:end]).lower()
    if head.startswith(b"http/1.1 304"):
        return end + 4
    length = int(head.partition(b"content-length: ")[2].partition(b"\r\n")[0])
    return end + 4 + length if len(held) >= end + 4 + length else None


Serving = Callable[[Connection], None]


@dataclass(frozen=True)
class Served:
    """A process that serves: its number, its port, the token under which it may be asked."""

    pid: int
    port: int
    token: str


@contextmanager
def process(serve: Serving) -> Iterator[Served]:
    """A process that serves, until it is left."""
    here, there = multiprocessing.get_context("spawn").Pipe()
    made = multiprocessing.get_context("spawn").Process(target=serve, args=(there,), daemon=True)
    made.start()
    assert made.pid is not None
    port, token = here.recv()
    try:
        yield Served(made.pid, port, token)
    finally:
        made.terminate()
        made.join()


def serve_demo(said: Connection, place: Path) -> None:
    """The demo farm in a folder, imported where it is not there yet, served by the program's own function."""
    sys.stdout = sys.stderr = io.StringIO()
    url = f"sqlite:///{place / 'farm.db'}"
    settings = Settings(database_url=url, data_dir=place, today=TODAY)
    store = Store.open(url)
    store.migrate()
    if store.is_empty():
        with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
            import_farm(store, folder, replace=False, actor="benchmark", now=datetime.now(UTC))
    desk: Desk = desk_over(store, settings)
    with listening("127.0.0.1", 0) as door:
        said.send((door.getsockname()[1], give_token(desk, DoorRole.OWNER)))
        door.listen()
        serve(desk, settings, door)


def serve_bare(said: Connection) -> None:
    """The framework alone: a GET gives the bytes that a POST to the same path left there."""
    app, kept = FastAPI(), {}

    def add(path: str) -> None:
        @app.get(path)
        async def given() -> Response:
            return Response(kept[path], media_type="application/json")

    @app.post("/{path:path}")
    async def left(request: Request) -> Response:
        kept[request.url.path] = await request.body()
        return Response()

    for path in (*REST, *PAGES):
        add(path)
    with listening("127.0.0.1", 0) as door:
        said.send((door.getsockname()[1], ""))
        door.listen()
        uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False)).run(sockets=[door])


if __name__ == "__main__":
    sys.exit(main())
