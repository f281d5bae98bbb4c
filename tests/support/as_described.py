"""Whether an answer is one that the description names for its operation."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from weakref import WeakKeyDictionary

import httpx
from fastapi import FastAPI

PROBLEM = "application/problem+json"
_NO_KIND = "about:blank"
_PLACES: WeakKeyDictionary[FastAPI, list[tuple[re.Pattern[str], dict[str, Any]]]] = WeakKeyDictionary()
"""Patterns of paths, those that name most first, and the operations there, by application."""


def require_described(app: FastAPI, answer: httpx.Response) -> None:
    """A refusal with a kind of its own is among those that the description has for the operation and the status."""
    if answer.headers.get("content-type") != PROBLEM or answer.json()["type"] == _NO_KIND:
        return
    method, path = answer.request.method.lower(), answer.request.url.path
    operations = (found.get(method) for place, found in _places(app) if place.fullmatch(path))
    operation = next((found for found in operations if found is not None), None)
    if operation is not None:
        named = set(problem_types(app.openapi(), operation, str(answer.status_code)))
        assert answer.json()["type"] in named, (method, path, answer.status_code, answer.json()["type"], named)


def problem_types(described: dict[str, Any], operation: dict[str, Any], status: str) -> Iterator[str]:
    """The types of the problems that an operation may answer with under a status."""
    response = _followed(described, operation["responses"].get(status, {}))
    schema = response.get("content", {}).get(PROBLEM, {}).get("schema", {})
    for one in schema.get("oneOf", [schema] if schema else []):
        yield _followed(described, one)["properties"]["type"]["const"]


def _followed(described: dict[str, Any], part: dict[str, Any]) -> dict[str, Any]:
    """A part of the description, or what it refers to."""
    if "$ref" not in part:
        return part
    found = described
    for name in part["$ref"].removeprefix("#/").split("/"):
        found = found[name]
    return found


def _places(app: FastAPI) -> list[tuple[re.Pattern[str], dict[str, Any]]]:
    if app not in _PLACES:
        paths = sorted(app.openapi()["paths"].items(), key=lambda item: item[0].count("{"))
        _PLACES[app] = [(re.compile(re.sub(r"\{\w+\}", "[^/]+", path)), methods) for path, methods in paths]
    return _PLACES[app]
