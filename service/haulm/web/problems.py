"""Every refusal as an RFC 9457 problem: one table from error to status and title, and four handlers."""

from __future__ import annotations

import logging
import uuid
from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from haulm.errors import HaulmError

_log = logging.getLogger(__name__)

PROBLEM_SCHEMA: dict[str, Any] = {
    "type": "object",
    "required": ["type", "title", "status"],
    "properties": {
        "type": {"type": "string", "description": "A stable address of the kind of problem, /problems/<code>."},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string", "description": "One sentence: what was found, where, what would be accepted."},
        "instance": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "pointer": {"type": "string"},
                    "found": {"type": "string"},
                    "accepted": {"type": "string"},
                },
            },
        },
    },
}
DEFAULT_RESPONSES: dict[int | str, dict[str, Any]] = {
    "default": {
        "description": "A problem (RFC 9457)",
        "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
}


def answer_problems(app: FastAPI, statuses: Mapping[type[HaulmError], int]) -> None:
    """Install the four handlers: refusals, unreadable requests, the framework's own errors, everything else."""

    def refused(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, HaulmError)
        return refusal_problem(request.url.path, error, statuses)

    app.add_exception_handler(HaulmError, refused)
    app.add_exception_handler(RequestValidationError, _unreadable)
    app.add_exception_handler(HTTPException, _framework)
    app.add_exception_handler(Exception, _fault)


def refusal_problem(path: str, error: HaulmError, statuses: Mapping[type[HaulmError], int]) -> JSONResponse:
    """The problem of a refusal; its facts become members."""
    status = status_of(type(error), statuses)
    facts = {name: value for name, value in error.facts.items() if name not in ("type", "title", "status", "detail")}
    return _problem(status, type(error), error.sentence, path, facts)


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
    return JSONResponse(body, status_code=status, media_type="application/problem+json")


def _unreadable(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    errors = [
        {
            "pointer": "/" + "/".join(str(part) for part in fault["loc"]),
            "found": _shown(fault.get("input")),
            "accepted": fault["msg"],
        }
        for fault in error.errors()
    ]
    first = errors[0]
    detail = f"{first['pointer']}: found {first['found']}; accepted is: {first['accepted']}."
    body = {
        "type": "/problems/request-not-read",
        "title": "The request could not be read.",
        "status": 422,
        "detail": detail,
        "instance": request.url.path,
        "errors": errors,
    }
    return JSONResponse(body, status_code=422, media_type="application/problem+json")


def _shown(value: object) -> str:
    text = "nothing" if value is None else repr(value)
    return text if len(text) <= 120 else text[:117] + "..."


def _framework(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)
    body = {
        "type": "about:blank",
        "title": str(error.detail),
        "status": error.status_code,
        "detail": f"{request.method} {request.url.path}: {error.detail}.",
        "instance": request.url.path,
    }
    media = "application/problem+json"
    return JSONResponse(body, status_code=error.status_code, media_type=media, headers=error.headers)


def _fault(request: Request, error: Exception) -> JSONResponse:
    request_id = uuid.uuid4().hex
    _log.error("request %s failed", request_id, exc_info=error)
    body = {
        "type": "about:blank",
        "title": "The service made a mistake.",
        "status": 500,
        "detail": f"Nothing was written; the service's log has the cause under {request_id}.",
        "instance": request.url.path,
        "request_id": request_id,
    }
    return JSONResponse(body, status_code=500, media_type="application/problem+json")
