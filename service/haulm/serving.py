"""Joining the parts: the server in front of a desk, and the post beside it."""

from __future__ import annotations

import ctypes
import errno
import gc
import ipaddress
import os
import socket
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from urllib.parse import urlsplit

import uvicorn
from fastapi import FastAPI

from haulm.errors import NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_gaps import Step, follow_gaps
from haulm.jobs.gaps.follow_jobs import follow_jobs
from haulm.jobs.gaps.plan_season import plan_season
from haulm.jobs.warning.keep_backups import back_up
from haulm.jobs.warning.run_due import run_due
from haulm.mail.carrier import Smtp
from haulm.mail.post import PostOffice, Worker, post_once
from haulm.matching.one_pass.compiler import is_to_compile
from haulm.pages.site import PAGE_ROUTERS
from haulm.pages.wrong_turns import answer_in_pages
from haulm.paper.site import PAPER_ROUTERS
from haulm.rest.app import LOOPBACK_HOSTS, create_app
from haulm.settings import Settings, kept_secret, what_is_set
from haulm.store.errors import FarmEmpty
from haulm.store.words import DoorRole
from haulm.web.links import Links

_NEW_OBJECTS = 50_000
_GIVE_BACK_EVERY_S = 2.0
_MOST_HEAPS, _LARGE_FROM_BYTES, _KEEP_AT_MOST_BYTES = -8, -3, -1
"""M_ARENA_MAX, M_MMAP_THRESHOLD and M_TRIM_THRESHOLD of glibc's mallopt(3)."""


class _AnnouncedServer(uvicorn.Server):
    """A server that says its address once it listens: whoever reads that line may ask at once."""

    def __init__(self, config: uvicorn.Config, address: str) -> None:
        super().__init__(config)
        self._address = address

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            sys.stdout.write(f"Serving on {self._address} until Ctrl-C.\n")
            sys.stdout.flush()


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


def post_worker(desk: Desk, settings: Settings, links: Links) -> Worker:
    """The thread that does what is due and posts mail, beside the service or in a process of its own."""
    office = post_office(settings, links)
    if office.carrier is None:
        sys.stderr.write(f"post: {_why_none_leaves(settings)} Letters wait in the outbox.\n")

    def complain(sentence: str) -> None:
        sys.stderr.write(f"post: {sentence}\n")

    def due() -> None:
        with suppress(FarmEmpty):
            try:
                run_due(desk, writes_letters=office.carrier is not None)
            finally:
                # A farm under another date than today's is a rehearsal, and nobody's only copy.
                if settings.today is None:
                    back_up(desk, settings.backup_folder, office.worker)

    def step() -> bool:
        with suppress(FarmEmpty):
            step = follow_gaps(desk, office.worker)
            jobs = follow_jobs(desk, office.worker) if step is Step.DONE else step
            return Step.MORE in (step, jobs, plan_season(desk, office.worker))
        return False

    return Worker(due, lambda: post_once(desk, office), complain, step)


def post_office(settings: Settings, links: Links) -> PostOffice:
    """The post as the settings have it; without a server or an address to send from nothing leaves."""
    sender, way = settings.mail_from, settings.way_out
    carrier = None if way is None or sender is None else Smtp(way)
    owner = settings.mail_to or sender or ""
    return PostOffice(sender or "", owner, carrier, links, settings.public_url)


def _why_none_leaves(settings: Settings) -> str:
    if settings.today is not None and settings.rehearsal_smtp_url is None:
        return "No mail leaves while HAULM_TODAY stands for today, unless HAULM_REHEARSAL_SMTP_URL is set."
    return "No mail leaves until HAULM_SMTP_URL and HAULM_MAIL_FROM are set."


def links_of(desk: Desk, settings: Settings) -> Links:
    """Personal links under the service's own secret."""
    return Links(kept_secret(settings, beyond_loopback=_is_reached(settings)), desk.now)


def require_password(desk: Desk, settings: Settings, host: str) -> None:
    """Refuse to listen where others can reach the service while nobody has to say who they are.

    Raises:
        NotAccepted: the address is not of this computer alone, and the owner has no password or the secret is short.
    """
    if host == "localhost" or is_loopback(host):
        return
    if DoorRole.OWNER in desk.store.doors.password_hashes():
        kept_secret(settings, beyond_loopback=True)
        return
    accepted = "127.0.0.1, or any address once `haulm-service password` has set the owner's password"
    raise NotAccepted(where="--host", found=f"'{host}'", accepted=accepted)


def is_loopback(host: str) -> bool:
    """Whether an address is reached from this computer alone; a name is not one."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def address_of(door: socket.socket) -> str:
    """The address under which a bound socket is asked."""
    host, port = door.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def serve(desk: Desk, settings: Settings, door: socket.socket) -> None:
    """Serve until interrupted, and say the address as soon as it is listened on."""
    give_back_memory()
    compile_ahead()
    collect_less_often()
    app = application(desk, settings)
    config = uvicorn.Config(app, log_level="warning", server_header=False)
    server = _AnnouncedServer(config, address_of(door))
    worker = post_worker(desk, settings, app.state.links)
    worker.start()
    with giving_back(), suppress(KeyboardInterrupt):
        server.run(sockets=[door])
    worker.stop()


def application(desk: Desk, settings: Settings) -> FastAPI:
    """Every door of the service as one application."""
    secret = kept_secret(settings, beyond_loopback=_is_reached(settings))
    app = create_app(desk, hosts=_hosts(settings), more=(*PAGE_ROUTERS, *PAPER_ROUTERS), secret=secret)
    answer_in_pages(app)
    app.state.what_is_set = what_is_set(settings)
    app.state.is_secure = (settings.public_url or "").startswith("https://")
    return app


def compile_ahead() -> None:
    """Compile the match where it is not on disk yet, in a process of its own; if that fails, it is when it is needed.

    What the compiler needs while it works, some 180 MB, a process never gives back.
    """
    if is_to_compile():
        sys.stderr.write("Compiling the match, once for this version: half a minute or so.\n")
        sys.stderr.flush()
        subprocess.run([sys.executable, "-m", "haulm.matching.allocation.compile_ahead"], check=False)


def collect_less_often() -> None:
    """Have Python look less often for objects that hold each other in a circle, and never among its own modules.

    A plan is hundreds of thousands of objects, nearly none of them in a circle, and answers make thousands of new ones.
    """
    gc.freeze()
    gc.set_threshold(_NEW_OBJECTS, 20, 20)


def give_back_memory() -> None:
    """Ask the C library, where it is glibc, to keep few heaps and to give large arrays back as soon as they are freed.

    Each thread of the web framework may work on a plan; left alone, every one of them keeps a heap of its own as large
    as the largest answer it ever made. No other library is asked, and none needs to be.
    """
    mallopt = _of_glibc("mallopt")
    for setting, value in ((_MOST_HEAPS, 2), (_LARGE_FROM_BYTES, 1 << 17), (_KEEP_AT_MOST_BYTES, 1 << 17)):
        mallopt(setting, value)


@contextmanager
def giving_back() -> Iterator[None]:
    """While it is open, what became free in the midst of a heap is given back every few seconds.

    The C library itself gives back the end of a heap alone, and a plan that is dropped leaves holes before it. Giving
    them back takes about a millisecond.
    """
    trim, over = _of_glibc("malloc_trim"), threading.Event()

    def give() -> None:
        while not over.wait(_GIVE_BACK_EVERY_S):
            trim(0)

    thread = threading.Thread(target=give, name="giving-back", daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def _of_glibc(name: str) -> Callable[..., object]:
    """A function of the C library where it is glibc; elsewhere one that does nothing."""
    if sys.platform.startswith("linux"):
        with suppress(OSError, AttributeError):
            found: Callable[..., object] = getattr(ctypes.CDLL(None), name)
            return found
    return lambda *_: None


def _is_reached(settings: Settings) -> bool:
    """Whether the settings name an address under which others reach the service."""
    return bool(_hosts(settings) - LOOPBACK_HOSTS)


def _hosts(settings: Settings) -> frozenset[str]:
    public = urlsplit(settings.public_url).hostname if settings.public_url else None
    return LOOPBACK_HOSTS | frozenset(settings.hosts) | ({public} if public else frozenset())
