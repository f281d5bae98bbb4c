"""One call over HTTP: send it, send it once more if the connection breaks, read the reply or say what went wrong."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from uuid import uuid4

import httpx

from haulm_cli.fields import Fields
from haulm_cli.problems import NoService, Problem, ServiceFault

Query = Mapping[str, str | int | float | Sequence[str]]


@dataclass(frozen=True, slots=True)
class Call:
    """What is asked; what writes carries a key of its own, so that sending it twice does it once."""

    method: str
    path: str
    query: Query = field(default_factory=dict)
    body: Fields | None = None
    key: str = field(default_factory=lambda: str(uuid4()))
    if_match: str | None = None

    @property
    def writes(self) -> bool:
        """Whether it may change the farm."""
        return self.method != "GET"

    @property
    def headers(self) -> dict[str, str]:
        """Accepted replies, for what writes its key, and the tag of what was seen."""
        accepted = {"Accept": "application/json, application/problem+json"}
        if self.if_match is not None:
            accepted["If-Match"] = self.if_match
        return {**accepted, "Idempotency-Key": self.key} if self.writes else accepted


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer: as it came, read, and its tag where it has one."""

    text: str
    body: Fields
    etag: str = ""


def send(client: httpx.Client, call: Call) -> Reply:
    """The service's answer to a call.

    Raises:
        NoService: nobody answers, or the connection broke twice.
        Problem: the service refused or failed and said so.
        ServiceFault: the service took too long, or answered with something that is not a JSON object.
    """
    response = _response(client, call)
    if response.is_success:
        return Reply(response.text, _read(response) if response.content else {}, response.headers.get("ETag", ""))
    if response.is_redirect:
        target = response.headers["Location"]
        raise ServiceFault(f"The address {client.base_url} sends callers on to {target}; say --url or HAULM_URL anew.")
    raise Problem(response.status_code, _problem_body(response), response.text)


def _response(client: httpx.Client, call: Call) -> httpx.Response:
    try:
        return _attempt(client, call)
    except (httpx.ConnectError, httpx.ConnectTimeout) as unreachable:
        raise NoService(_nobody_answers(client)) from unreachable
    except httpx.RequestError:
        pass
    try:
        return _attempt(client, call)
    except httpx.RequestError as lost:
        raise NoService(_lost(client, call)) from lost


def _attempt(client: httpx.Client, call: Call) -> httpx.Response:
    try:
        return client.request(call.method, call.path, params=call.query, json=call.body, headers=call.headers)
    except httpx.ConnectTimeout:
        raise
    except httpx.TimeoutException as slow:
        raise ServiceFault(f"The service at {client.base_url} took too long to answer.{_unsure(call)}") from slow


def _nobody_answers(client: httpx.Client) -> str:
    return (
        f"No Haulm service answers at {client.base_url}. Start one with 'haulm-service serve' "
        "('haulm-service demo' for an invented farm), or say where it is with --url or HAULM_URL."
    )


def _lost(client: httpx.Client, call: Call) -> str:
    return (
        f"The connection to the service at {client.base_url} was lost, twice.{_unsure(call)} "
        "See whether 'haulm-service serve' is still running."
    )


def _unsure(call: Call) -> str:
    return " Whether it was done is not known: look before asking again." if call.writes else ""


def _read(response: httpx.Response) -> Fields:
    body = _json(response)
    if not isinstance(body, dict):
        raise ServiceFault(f"What answers at {response.url} does not answer in JSON: is it a Haulm service?")
    return body


def _problem_body(response: httpx.Response) -> Fields:
    body = _json(response)
    return body if isinstance(body, dict) else {}


def _json(response: httpx.Response) -> object:
    try:
        body: object = json.loads(response.content)
    except ValueError:
        return None
    return body
