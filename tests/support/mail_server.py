"""A real mail server on loopback, with STARTTLS and AUTH, that can be told to refuse, to hang or to die."""

from __future__ import annotations

import asyncio
import random
import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

import trustme
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session

USER, PASSWORD = b"farm", b"a password of the tests"


class Mood(StrEnum):
    """What the server does with the next mail."""

    TAKES = "takes"
    REFUSES = "refuses for good"
    LATER = "refuses for now"
    HANGS = "hangs until it is left"
    DIES_BEFORE = "dies before it has the mail"
    DIES_AFTER = "dies after it has the mail, before it says so"


@dataclass
class MailServer:
    """What a test tells the server, and what the server got."""

    port: int = 0
    got: list[bytes] = field(default_factory=list)
    recipients: list[str] = field(default_factory=list)
    mood: Mood = Mood.TAKES
    chances: dict[Mood, float] = field(default_factory=dict)
    chance: random.Random = field(default_factory=lambda: random.Random(3))
    lost_answers: int = 0
    trust: ssl.SSLContext = field(default_factory=ssl.create_default_context)

    def next_mood(self) -> Mood:
        """What to do with this mail: as told, or by chance."""
        if not self.chances:
            return self.mood
        moods = [*self.chances, Mood.TAKES]
        weights = [*self.chances.values(), 1 - sum(self.chances.values())]
        return self.chance.choices(moods, weights)[0]


class _Handler:
    def __init__(self, server: MailServer) -> None:
        self._server = server

    async def handle_DATA(self, smtp: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802 - its name
        server, mood = self._server, self._server.next_mood()
        if mood is Mood.REFUSES:
            return "550 5.1.1 no such mailbox here"
        if mood is Mood.LATER:
            return "451 4.3.0 come back later"
        if mood is Mood.HANGS:
            await asyncio.sleep(3)
            return "451 4.3.0 too late"
        if mood is Mood.DIES_BEFORE:
            _hang_up(smtp)
            return "421 gone"
        assert isinstance(envelope.content, bytes)
        server.got.append(envelope.content)
        server.recipients += envelope.rcpt_tos
        if mood is Mood.DIES_AFTER:
            server.lost_answers += 1
            _hang_up(smtp)
        return "250 2.0.0 taken"


def free_port() -> int:
    """A port that was free a moment ago; the controller takes no other kind."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port: int = door.getsockname()[1]
        return port


def _hang_up(smtp: SMTP) -> None:
    transport: Any = smtp.transport
    transport.abort()


def _known(server: Any, session: Any, envelope: Any, mechanism: str, data: object) -> AuthResult:
    assert isinstance(data, LoginPassword)
    return AuthResult(success=(data.login, data.password) == (USER, PASSWORD))


@contextmanager
def mail_server() -> Iterator[MailServer]:
    """A server that asks for TLS and a password before it takes anything."""
    authority = trustme.CA()
    certificate = authority.issue_cert("localhost", "127.0.0.1")
    offered = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    certificate.configure_cert(offered)
    server = MailServer(port=free_port())
    authority.configure_trust(server.trust)
    controller = Controller(
        _Handler(server),
        hostname="127.0.0.1",
        port=server.port,
        tls_context=offered,
        require_starttls=True,
        auth_required=True,
        authenticator=_known,
    )
    controller.start()
    try:
        yield server
    finally:
        controller.stop()
