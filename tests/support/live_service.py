"""A real HTTP service around an app, in a thread of the test's own process, on a port that the system picks."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import uvicorn

PATIENCE_S = 30


class _AnnouncedServer(uvicorn.Server):
    """A server that says when it has started, or has failed to."""

    def __init__(self, config: uvicorn.Config) -> None:
        super().__init__(config)
        self.decided = threading.Event()

    async def startup(self, *args: Any, **kwargs: Any) -> None:
        try:
            await super().startup(*args, **kwargs)
        finally:
            self.decided.set()


@contextmanager
def live_service(app: Any) -> Iterator[str]:
    """Serves an ASGI app; gives its address, such as `http://127.0.0.1:40123`."""
    server = _AnnouncedServer(uvicorn.Config(app, host="127.0.0.1", port=0, log_level="warning", ws="none"))
    thread = threading.Thread(target=server.run, name="live-service")
    thread.start()
    try:
        assert server.decided.wait(PATIENCE_S), "the service did not start in time"
        assert server.started, "the service failed to start; its log says why"
        port = server.servers[0].sockets[0].getsockname()[1]
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(PATIENCE_S)
        assert not thread.is_alive(), "the service did not stop in time"
