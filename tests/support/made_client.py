"""A client made from the description by another project's generator, asked over the application without a network."""

from __future__ import annotations

import asyncio
import importlib
import json
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from typing import Any

import httpx
from openapi_python_client import generate
from openapi_python_client.config import Config, ConfigFile, MetaType

from support.door import BASE_URL, Door

PACKAGE = "haulm_made"


def make_client(described: dict[str, Any], folder: Path) -> list[str]:
    """Writes a package into a folder; gives what the generator could not do, or did with a warning."""
    document = folder / "openapi.json"
    document.write_text(json.dumps(described), encoding="utf-8")
    config = Config.from_sources(
        ConfigFile(post_hooks=[]),
        MetaType.NONE,
        document_source=document,
        file_encoding="utf-8",
        overwrite=True,
        output_path=folder / PACKAGE,
    )
    return [f"{error.header} {error.detail}" for error in generate(config=config)]


@contextmanager
def importable(folder: Path) -> Iterator[None]:
    """While it is open, the package of a folder can be imported."""
    sys.path.insert(0, str(folder))
    try:
        yield
    finally:
        sys.path.remove(str(folder))
        for name in [name for name in sys.modules if name.partition(".")[0] == PACKAGE]:
            del sys.modules[name]


class MadeClient:
    """The made client's functions by method and path, and its models by name."""

    def __init__(self, door: Door, described: dict[str, Any]) -> None:
        """A client of a door, with any token: on the farm's own computer none is looked at without a password."""
        self._app, self._described = door.app, described
        self._models = importlib.import_module(f"{PACKAGE}.models")
        made = importlib.import_module(PACKAGE).AuthenticatedClient(base_url=BASE_URL, token="any")
        transport = httpx.ASGITransport(door.app, client=("127.0.0.1", 1))
        self._client = made.set_async_httpx_client(httpx.AsyncClient(transport=transport, base_url=BASE_URL))

    def body(self, name: str, values: dict[str, Any]) -> Any:
        """A model from JSON values; what it would send must be what was given."""
        found = getattr(self._models, name).from_dict(values)
        assert found.to_dict() == values
        return found

    def ask(self, route: str, *path: str, **named: Any) -> tuple[HTTPStatus, Any]:
        """The status of an answer, and the model it was read into; what the model holds is all that was sent."""
        method, _, template = route.partition(" ")
        operation = self._described["paths"][template][method.lower()]
        tag, name = (_snake(text) for text in (operation["tags"][0], operation["operationId"]))
        module = importlib.import_module(f"{PACKAGE}.api.{tag}.{name}")
        answer = asyncio.run(module.asyncio_detailed(*path, client=self._client, **named))
        return answer.status_code, self._read(answer)

    def _read(self, answer: Any) -> Any:
        if hasattr(answer.parsed, "to_dict"):
            assert _in_utc(answer.parsed.to_dict()) == _in_utc(json.loads(answer.content))
        return answer.parsed


def _in_utc(values: Any) -> Any:
    """JSON values with their moments written in one way."""
    return json.loads(re.sub(r"(T\d\d:\d\d:\d\d)(\.000)?(Z|\+00:00)", r"\1Z", json.dumps(values)))


def _snake(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")
