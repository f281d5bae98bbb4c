"""Every refusal as an RFC 9457 problem: one table from error to status and title, and four handlers."""

from __future__ import annotations

import json
import logging
import re
import uuid
from collections.abc import Iterable, Mapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.faults import Fault, Way
from haulm.farm_folder.faults import FolderRefused
from haulm.language.words import _
from haulm.web.refusals import BodyNotRead

_log = logging.getLogger(__name__)

PROBLEM_MEDIA = "application/problem+json"
UNREAD = ("request-not-read", "The request could not be read.")
"""The code and the title of a request whose shape is not the route's."""
PROBLEM_SCHEMAS: dict[str, dict[str, Any]] = {
    "Problem": {
        "type": "object",
        "required": ["type", "title", "status"],
        "properties": {
            "type": {"type": "string", "description": "A stable address of the kind of problem, /problems/<code>."},
            "title": {"type": "string"},
            "status": {"type": "integer"},
            "detail": {"type": "string", "description": "One sentence: what was found, where, what would be accepted."},
            "instance": {"type": "string"},
            "errors": {"type": "array", "items": {"$ref": "#/components/schemas/ProblemPlace"}},
        },
    },
    "ProblemPlace": {
        "type": "object",
        "description": "A place in the request, by its JSON pointer, such as /body/lines/1/stems.",
        "properties": {
            "pointer": {"type": "string"},
            "found": {"type": "string"},
            "accepted": {"type": "string"},
        },
    },
}
DEFAULT_RESPONSES: dict[int | str, dict[str, Any]] = {
    "default": {
        "description": "A problem (RFC 9457)",
        "content": {PROBLEM_MEDIA: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
}
_NO_JSON = BodyNotRead(found="bytes that are no JSON in UTF-8", accepted="one JSON value in UTF-8")
_LISTED = re.compile(r"[a-z_]+\[\d+\](\.[a-z_]+)*")
"""A place in a list of the body, such as `lines[1].stems`."""
_STEP = re.compile(r"\w+")
_BODY_UNREADABLE = 400
"""What the framework says of a body it cannot parse for a reason other than JSON grammar, and of nothing else here."""


class ProblemResponse(JSONResponse):
    """A problem on the wire; a lone surrogate, which JSON text can hold and UTF-8 cannot, becomes a question mark."""

    media_type = PROBLEM_MEDIA

    def render(self, content: Any) -> bytes:
        """The body as bytes."""
        return json.dumps(content, ensure_ascii=False, allow_nan=False).encode("utf-8", "replace")


def answer_problems(app: FastAPI, statuses: Mapping[type[HaulmError], int]) -> None:
    """Install the four handlers: refusals, unreadable requests, the framework's own errors, everything else."""

    def refused(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, HaulmError)
        return refusal_problem(request.url.path, error, statuses)

    def unreadable(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, RequestValidationError)
        if any(fault["type"] == "json_invalid" for fault in error.errors()):
            return refusal_problem(request.url.path, _NO_JSON, statuses)
        return _misshapen(request, error)

    def framework(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, HTTPException)
        if error.status_code == _BODY_UNREADABLE:
            return refusal_problem(request.url.path, _NO_JSON, statuses)
        return _framework(request, error)

    app.add_exception_handler(HaulmError, refused)
    app.add_exception_handler(RequestValidationError, unreadable)
    app.add_exception_handler(HTTPException, framework)
    app.add_exception_handler(Exception, _fault)


def refusal_problem(path: str, error: HaulmError, statuses: Mapping[type[HaulmError], int]) -> JSONResponse:
    """The problem of a refusal; its facts become members, and faults of a row name their places in the body too."""
    status = status_of(type(error), statuses)
    facts = {name: value for name, value in error.facts.items() if name not in ("type", "title", "status", "detail")}
    if isinstance(error, FolderRefused):
        facts["errors"] = [
            {"pointer": _pointer(_way(fault)), "found": fault.found, "accepted": fault.accepted}
            for fault in error.faults
        ]
    elif isinstance(error, NotAccepted) and _LISTED.fullmatch(error.where):
        pointer = _pointer(("body", *_STEP.findall(error.where)))
        facts["errors"] = [{"pointer": pointer, "found": error.found, "accepted": error.accepted}]
    return _problem(status, type(error), error.sentence, path, facts)


def _way(fault: Fault) -> Way:
    return ("body", *fault.within, *(() if fault.column is None else (fault.column,)))


def status_of(error: type[HaulmError], statuses: Mapping[type[HaulmError], int]) -> int:
    """The status of an error class, its nearest listed ancestor's where it has no row of its own."""
    return next(statuses[kind] for kind in error.__mro__ if kind in statuses)


def title_of(error: type[HaulmError]) -> str:
    """The first sentence of the class's docstring: what kind of refusal it is."""
    return (error.__doc__ or error.code).strip().splitlines()[0]


def _problem(status: int, kind: type[HaulmError], detail: str, path: str, facts: Mapping[str, object]) -> JSONResponse:
    body = {
        "type": f"/problems/{kind.code}",
        "title": title_of(kind),
        "status": status,
        "detail": detail,
        "instance": path,
        **facts,
    }
    return ProblemResponse(body, status_code=status)


def _misshapen(request: Request, error: RequestValidationError) -> JSONResponse:
    errors = [
        {
            "pointer": _pointer(fault["loc"]),
            "found": "nothing" if fault["type"] == "missing" else _shown(fault.get("input")),
            "accepted": fault["msg"].removeprefix("Value error, "),
        }
        for fault in error.errors()
    ]
    first = errors[0]
    detail = _("{pointer}: found {found}; accepted is: {accepted}.").format(
        pointer=first["pointer"], found=first["found"], accepted=first["accepted"]
    )
    body = {
        "type": f"/problems/{UNREAD[0]}",
        "title": UNREAD[1],
        "status": 422,
        "detail": detail,
        "instance": request.url.path,
        "errors": errors,
    }
    return ProblemResponse(body, status_code=422)


def _pointer(place: Iterable[object]) -> str:
    """A JSON pointer (RFC 6901) to a part of the request: its body, query, path or headers."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in place)


def _shown(value: object) -> str:
    text = "nothing" if value is None else repr(value)
    return text if len(text) <= 120 else text[:117] + "..."


def _framework(request: Request, error: HTTPException) -> JSONResponse:
    body = {
        "type": "about:blank",
        "title": str(error.detail),
        "status": error.status_code,
        "detail": f"{request.method} {request.url.path}: {error.detail}.",
        "instance": request.url.path,
    }
    return ProblemResponse(body, status_code=error.status_code, headers=error.headers)


def _fault(request: Request, error: Exception) -> JSONResponse:
    request_id = uuid.uuid4().hex
    _log.error("request %s failed", request_id, exc_info=error)
    body = {
        "type": "about:blank",
        "title": _("The service made a mistake."),
        "status": 500,
        "detail": _("Nothing was written; the service's log has the cause under {request_id}.").format(
            request_id=request_id
        ),
        "instance": request.url.path,
        "request_id": request_id,
    }
    return ProblemResponse(body, status_code=500)
