"""The REST door as a test calls it: through the application, without a network, as a caller on the same computer."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from types import TracebackType
from typing import Any

import httpx
from fastapi import FastAPI

from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.jobs.gaps.plan_season import work_out_season_plans
from haulm.pages.site import PAGE_ROUTERS
from haulm.pages.wrong_turns import answer_in_pages
from haulm.paper.site import PAPER_ROUTERS
from haulm.rest.app import create_app, put_behind
from support.as_described import PROBLEM, require_described

__all__ = ["PROBLEM", "Door"]

BASE_URL = "http://127.0.0.1"
SECRET = "a secret of the tests, long enough to sign with"

_IDLE: list[FastAPI] = []
"""Applications of doors that are closed: making one costs more than most tests do with it."""


def _application(desk: Desk) -> FastAPI:
    if not _IDLE:
        made = create_app(desk, more=(*PAGE_ROUTERS, *PAPER_ROUTERS), secret=SECRET)
        answer_in_pages(made)
        return made
    app = _IDLE.pop()
    put_behind(app, desk, secret=SECRET)
    return app


class Door:
    """Calls an application; a fault of the service is raised in the test, unless it is to be answered."""

    def __init__(self, desk: Desk, *, caller: str = "127.0.0.1", raises: bool = True) -> None:
        self.desk = desk
        self.app = _application(desk)
        self._loop = asyncio.Runner()
        transport = httpx.ASGITransport(self.app, client=(caller, 1), raise_app_exceptions=raises)
        self._client = httpx.AsyncClient(transport=transport, base_url=BASE_URL)

    def __enter__(self) -> Door:
        """The door itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Closes the client and its loop; another door may have the application."""
        self._loop.run(self._client.aclose())
        self._loop.close()
        _IDLE.append(self.app)

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        """One request, as it is; a refusal must be one that the description names."""
        answer = self._loop.run(self._client.request(method, path, **more))
        require_described(self.app, answer)
        return answer

    def worked_out(self) -> Door:
        """The door, once the worker beside a service has worked out all gaps of now and what was asked for."""
        assert work_out_gaps(self.desk) and work_out_season_plans(self.desk)
        return self

    def get(self, path: str, **query: Any) -> Any:
        """A good answer to a GET, as JSON."""
        answer = self.ask("GET", path, params={name.rstrip("_"): value for name, value in query.items()})
        assert answer.status_code == 200, answer.text
        return answer.json()

    def post(self, path: str, body: Any = None, **headers: str) -> Any:
        """A good answer to a POST, as JSON."""
        answer = self.ask("POST", path, json=body, headers=_headers(headers))
        assert answer.is_success, answer.text
        return answer.json()

    def settle(self, path: str, body: Any = None, *, cut: Sequence[str] = ()) -> Any:
        """A bucket list settled as it is seen; known stems that stood are cut on its day before."""
        for key in cut:
            self.patch(f"/v1/known-stems/{key}", {"cut_date": path.rpartition("/")[2]})
        return self.post(f"{path}/confirm", body, If_Match=self.ask("GET", path).headers["ETag"])

    def patch(self, path: str, body: Any, **headers: str) -> Any:
        """A good answer to a PATCH, as JSON."""
        answer = self.ask("PATCH", path, json=body, headers=_headers(headers))
        assert answer.status_code == 200, answer.text
        return answer.json()

    def refused(self, status: int, method: str, path: str, **more: Any) -> dict[str, Any]:
        """The problem with which a request is refused."""
        answer = self.ask(method, path, **more)
        assert (answer.status_code, answer.headers["content-type"]) == (status, PROBLEM), answer.text
        problem: dict[str, Any] = answer.json()
        assert problem["status"] == status and problem["title"] and problem["instance"].startswith("/")
        return problem


def _headers(named: dict[str, str]) -> dict[str, str]:
    return {name.replace("_", "-"): value for name, value in named.items()}
