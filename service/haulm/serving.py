"""Joining the parts: the desk over a store and its clock, and the server in front of it."""

from __future__ import annotations

import ctypes
import errno
import os
import socket
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

import uvicorn
from fastapi import FastAPI

from haulm.errors import NotAccepted
from haulm.jobs.desk import Desk
from haulm.pages.site import PAGE_ROUTERS
from haulm.planning.planner import Planner
from haulm.rest.app import LOOPBACK_HOSTS, create_app
from haulm.settings import Settings
from haulm.store.errors import FarmEmpty
from haulm.store.store import Store

_MOST_HEAPS, _LARGE_FROM_BYTES, _KEEP_AT_MOST_BYTES = -8, -3, -1
"""M_ARENA_MAX, M_MMAP_THRESHOLD and M_TRIM_THRESHOLD of glibc's mallopt(3)."""


def desk_over(store: Store, settings: Settings) -> Desk:
    """The desk of this service: its store, a planner, and the clock of the settings."""
    return Desk(store, Planner(), clock(store, settings), utc_now)


def clock(store: Store, settings: Settings) -> Callable[[], date]:
    """The one clock: the date that stands for today, or the date in the farm's zone now."""

    def today() -> date:
        if settings.today is not None:
            return settings.today
        try:
            zone = ZoneInfo(store.farm().site.timezone)
        except FarmEmpty:
            return utc_now().date()
        return utc_now().astimezone(zone).date()

    return today


def utc_now() -> datetime:
    """The real time, in UTC."""
    return datetime.now(UTC)


@contextmanager
def listening(host: str, port: int) -> Iterator[socket.socket]:
    """A socket bound to a port of this computer; port 0 takes any that is free.

    Raises:
        NotAccepted: the port is taken, or the system does not give it.
    """
    family, kind, protocol, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    # Bound here, not by the server: whoever starts it hears at once, and in a sentence, that the port is taken.
    with socket.socket(family, kind, protocol) as door:
        if os.name == "posix":
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind(place)
        except OSError as fault:
            why = "which is taken" if fault.errno == errno.EADDRINUSE else f"which cannot be had ({fault.strerror})"
            accepted = "a port that is free, or 0 for any"
            raise NotAccepted(where="--port", found=f"{port}, {why}", accepted=accepted) from None
        yield door


def address_of(door: socket.socket) -> str:
    """The address under which a bound socket is asked."""
    host, port = door.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def serve(desk: Desk, settings: Settings, door: socket.socket) -> None:
    """Say the address and serve until interrupted; nothing but loopback listens while there are no passwords."""
    give_back_memory()
    server = uvicorn.Server(uvicorn.Config(application(desk, settings), log_level="warning", server_header=False))
    sys.stdout.write(f"Serving on {address_of(door)} until Ctrl-C.\n")
    sys.stdout.flush()
    with suppress(KeyboardInterrupt):
        server.run(sockets=[door])


def application(desk: Desk, settings: Settings) -> FastAPI:
    """Every door of the service as one application."""
    return create_app(desk, hosts=_hosts(settings), more=PAGE_ROUTERS)


def give_back_memory() -> None:
    """Ask the C library, where it is glibc, to keep few heaps and to give large arrays back as soon as they are freed.

    Each thread of the web framework may work on a plan; left alone, every one of them keeps a heap of its own as large
    as the largest answer it ever made. No other library is asked, and none needs to be.
    """
    if not sys.platform.startswith("linux"):
        return
    with suppress(OSError, AttributeError):
        mallopt = ctypes.CDLL(None).mallopt
        for setting, value in ((_MOST_HEAPS, 2), (_LARGE_FROM_BYTES, 1 << 17), (_KEEP_AT_MOST_BYTES, 1 << 17)):
            mallopt(setting, value)


def _hosts(settings: Settings) -> frozenset[str]:
    public = urlsplit(settings.public_url).hostname if settings.public_url else None
    return LOOPBACK_HOSTS | ({public} if public else frozenset())
