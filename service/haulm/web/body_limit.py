"""No request may be larger than anything the service is ever sent; what is larger is not read to its end."""

from __future__ import annotations

import json

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from haulm.language.words import _

MOST_BYTES = 2 * 1024 * 1024


class TooLarge(Exception):
    """The body goes on beyond the limit; the web framework is left at once."""


class BodyLimit:
    """An application around another that ends requests with too large a body."""

    def __init__(self, app: ASGIApp) -> None:
        """The limit around an application."""
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, counting the bytes of its body."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        left, started = MOST_BYTES, False

        async def counted() -> Message:
            nonlocal left
            message = await receive()
            left -= len(message.get("body", b""))
            if left < 0:
                raise TooLarge
            return message

        async def sent(message: Message) -> None:
            nonlocal started
            started = True
            await send(message)

        try:
            if _says_more(scope):
                raise TooLarge
            await self._app(scope, counted, sent)
        except TooLarge:
            if not started:
                await _refuse(scope, send)


def _says_more(scope: Scope) -> bool:
    """Whether the request itself says that its body is too large."""
    lengths = [value for name, value in scope["headers"] if name == b"content-length"]
    return any(value.isdigit() and int(value) > MOST_BYTES for value in lengths)


async def _refuse(scope: Scope, send: Send) -> None:
    body = {
        "type": "/problems/body-not-read",
        "title": _("The request body is not what the route reads."),
        "status": 413,
        "detail": _("Request body: found more than {most_bytes} bytes; accepted is at most that.").format(
            most_bytes=MOST_BYTES
        ),
        "instance": scope["path"],
    }
    headers = [(b"content-type", b"application/problem+json"), (b"connection", b"close")]
    await send({"type": "http.response.start", "status": 413, "headers": headers})
    await send({"type": "http.response.body", "body": json.dumps(body).encode()})
