"""The description of the REST door: what the framework finds, with rows, refusals, passes and keys."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from haulm.errors import HaulmError, NotAccepted
from haulm.rest.route_refusals import refusals_of
from haulm.rest.row_schemas import describe_rows
from haulm.rest.statuses import STATUSES
from haulm.store.errors import (
    DatabaseNotMigrated,
    DatabaseUnreachable,
    DatabaseUnusable,
    KeyReusedWithOtherBody,
    RowNotAccepted,
    StoreBusy,
)
from haulm.web.asking import COOKIE
from haulm.web.audience import Audience, audiences
from haulm.web.idempotency import KEY_HEADER
from haulm.web.links import PersonalLinkNotValid
from haulm.web.problems import PROBLEM_MEDIA, PROBLEM_SCHEMAS, UNREAD, status_of, title_of
from haulm.web.refusals import BodyNotRead, ForeignOrigin, HostNotListed, KeyInFlight, NotForYou

Part = dict[str, Any]

_CALENDAR = "/v1/calendar.ics"
_SCHEMES: Part = {
    "bearer": {
        "type": "http",
        "scheme": "bearer",
        "description": "A token of the owner or of a farm hand. Each route names whom it is for: a hand's are open to "
        "the owner too. While no password is set, the farm's own computer needs none.",
    },
    "cookie": {
        "type": "apiKey",
        "in": "cookie",
        "name": COOKIE,
        "description": "The pass of a browser that logged in; as a token otherwise.",
    },
    "calendar_link": {
        "type": "apiKey",
        "in": "query",
        "name": "token",
        "description": "The token of the calendar's link. A florist's link has its token in the path, which no scheme "
        "can say: her routes name none, and the token is all they ask.",
    },
}
_UNUSABLE = (StoreBusy, DatabaseUnreachable, DatabaseNotMigrated, DatabaseUnusable)
_READS = ("GET", "HEAD")
_TOO_LARGE = 413


def description_of(app: FastAPI) -> Part:
    """The whole description."""
    found = get_openapi(title=app.title, version=app.version, description=app.description, routes=app.routes)
    components = found.setdefault("components", {})
    components.setdefault("schemas", {}).update(PROBLEM_SCHEMAS)
    components["securitySchemes"] = _SCHEMES
    describe_rows(found)
    refused = _Refused(components)
    for route, audience in audiences(app.routes).items():
        method, _, path = route.rpartition(" ")
        operation = found["paths"].get(path, {}).get(method.lower())
        if operation is not None and audience is not None:
            operation["security"] = _security(path, audience)
            _leave_out_null(operation.get("requestBody", {}))
            operation["responses"] |= refused.responses(_refusals(route, audience, operation), operation)
    return found


def _leave_out_null(body: Part) -> None:
    """A body that may be left out is left out, not null: makers of clients take the null for one more shape."""
    schema = body.get("content", {}).get("application/json", {}).get("schema", {})
    shapes = [shape for shape in schema.get("anyOf", ()) if shape != {"type": "null"}]
    if len(shapes) == 1 and not body.get("required"):
        body["content"]["application/json"]["schema"] = shapes[0]


def _security(path: str, audience: Audience) -> list[Part]:
    if path == _CALENDAR:
        return [{"calendar_link": []}]
    if audience in (Audience.OWNER, Audience.HAND):
        return [{"bearer": [str(audience)]}, {"cookie": [str(audience)]}]
    return []


def _refusals(route: str, audience: Audience, operation: Part) -> Iterator[type[HaulmError]]:
    """What an operation may refuse: by its kind, and by itself."""
    yield HostNotListed
    if audience in (Audience.OWNER, Audience.HAND):
        yield NotForYou
    elif audience in (Audience.FLORIST, Audience.COUPLE):
        yield PersonalLinkNotValid
    if not route.startswith("GET /problems/"):
        yield from _UNUSABLE
    if not route.startswith(_READS):
        yield from (ForeignOrigin, RowNotAccepted)
    if any(parameter["name"] == KEY_HEADER for parameter in operation.get("parameters", ())):
        yield from (KeyInFlight, KeyReusedWithOtherBody, NotAccepted)
    if "requestBody" in operation:
        yield BodyNotRead
    yield from refusals_of(route)


class _Refused:
    """Problems among the components: a schema for each kind, an answer for each set of kinds that share a status."""

    def __init__(self, components: Part) -> None:
        self._schemas: Part = components["schemas"]
        self._responses: Part = components.setdefault("responses", {})
        self._names: dict[tuple[int, tuple[str, ...]], str] = {}

    def responses(self, kinds: Iterator[type[HaulmError]], operation: Part) -> Part:
        """The answers of an operation that may refuse so, by status."""
        by_status: dict[int, dict[str, str]] = defaultdict(dict)
        for kind in kinds:
            by_status[status_of(kind, STATUSES)][kind.code] = title_of(kind)
        if "requestBody" in operation:
            by_status[_TOO_LARGE][BodyNotRead.code] = title_of(BodyNotRead)
        if "requestBody" in operation or "parameters" in operation:
            code, title = UNREAD
            by_status[status_of(HaulmError, STATUSES)][code] = title
        return {str(status): self._answer(status, by_status[status]) for status in sorted(by_status)}

    def _answer(self, status: int, titles: Mapping[str, str]) -> Part:
        codes = tuple(sorted(titles))
        if (status, codes) not in self._names:
            name = f"Refused{status}_{1 + sum(known == status for known, _ in self._names)}"
            self._names[status, codes] = name
            schemas = [self._schema(code, titles[code]) for code in codes]
            schema = schemas[0] if len(schemas) == 1 else {"oneOf": schemas}
            content = {PROBLEM_MEDIA: {"schema": schema}}
            self._responses[name] = {"description": f"Refused: {', '.join(codes)}.", "content": content}
        return {"$ref": f"#/components/responses/{self._names[status, codes]}"}

    def _schema(self, code: str, title: str) -> Part:
        name = "".join(word.capitalize() for word in code.split("-")) + "Problem"
        self._schemas[name] = {
            "allOf": [{"$ref": "#/components/schemas/Problem"}],
            "properties": {"type": {"type": "string", "const": f"/problems/{code}"}},
            "description": title,
        }
        return {"$ref": f"#/components/schemas/{name}"}
