"""A service that gives prepared answers, and the client's program run against it."""

import json
from dataclasses import dataclass, field
from typing import Any

import httpx
import pytest

from haulm_cli.program import main

Answer = httpx.Response | Exception


@dataclass(frozen=True)
class Ended:
    """How a command ended: exit code, what it printed, what it had asked."""

    code: int
    out: str
    err: str
    requests: list[httpx.Request]

    @property
    def rows(self) -> list[list[str]]:
        """The printed lines as words, so that spacing is nobody's business."""
        return [line.split() for line in self.out.splitlines()]

    @property
    def sent(self) -> Any:
        """The body of the only request."""
        (request,) = self.requests
        return json.loads(request.content)

    @property
    def asked(self) -> str:
        """Method, path and query of the only request."""
        (request,) = self.requests
        return f"{request.method} {request.url.raw_path.decode()}"


@dataclass
class CannedService:
    """Gives its answers one after the other and keeps the requests."""

    answers: list[Answer]
    requests: list[httpx.Request] = field(default_factory=list)

    def __call__(self, request: httpx.Request) -> httpx.Response:
        """The next answer; an exception among the answers is raised."""
        self.requests.append(request)
        answer = self.answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer


@dataclass(frozen=True)
class Client:
    """Runs `haulm` in this process and reads what it printed."""

    printed: pytest.CaptureFixture[str]

    def run(self, *words: str, answers: list[Answer]) -> Ended:
        """One command, given the answers it will get."""
        service = CannedService(list(answers))
        try:
            code = main(words, transport=httpx.MockTransport(service))
        except SystemExit as stopped:
            code = int(stopped.code or 0)
        out, err = self.printed.readouterr()
        return Ended(code, out, err, service.requests)

    def shows(self, *words: str, body: Any) -> Ended:
        """One command that gets one good answer; it must end well."""
        ended = self.run(*words, answers=[httpx.Response(200, json=body)])
        assert (ended.code, ended.err) == (0, "")
        return ended


def problem(status: int, **members: Any) -> httpx.Response:
    """An answer in problem details."""
    return httpx.Response(status, headers={"Content-Type": "application/problem+json"}, content=json.dumps(members))
