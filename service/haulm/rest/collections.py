"""The rows of the farm folder, one by one: GET, POST and PATCH on each collection, DELETE where one is taken back."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Body, Header, Query
from fastapi.openapi.models import Example as OpenApiExample
from fastapi.params import Depends as DependsMark
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.errors import NotAccepted
from haulm.farm.limits import LONGEST_TEXT
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import ADDED_ONLY, KEYED, PROMISING, RowAsked, add_row, change_row, row_of, rows_of
from haulm.jobs.farm.doubtful_records import asks_forecast
from haulm.jobs.farm.take_back_row import TAKEN_BACK, take_back_row
from haulm.rest import row_schemas
from haulm.rest.row_examples import CHANGES, NEW_ROWS, Example
from haulm.rest.row_schemas import NEVER_SHOWN, PERSONAL, marked
from haulm.rest.wire import Shape, TheCall, TheDesk, answered
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

IfMatch = Annotated[str | None, Header(alias="If-Match", description="The ETag that was read; a stale one gets 412.")]
Override = Annotated[
    bool,
    Query(description="Write a row that asks for stems though an earlier promise would fall; that is written down."),
]
OverrideReason = Annotated[
    str, Query(max_length=LONGEST_TEXT, description="Why the refusal was overridden; no names, it is kept for good.")
]
_MOST_VALUES = 64
_SAYS_COLUMNS = "Values go by the columns of the farm folder; an unknown one is refused."


class RowShape(Shape):
    """A row by its columns, with its version."""

    model_config = ConfigDict(extra="allow", frozen=True)

    key: str
    version: int = Field(description="The farm's version that wrote the row last.")


def collections_router() -> APIRouter:
    """A route per collection and verb, so that each is in the description by its own name."""
    router = APIRouter(tags=["rows"])
    for collection in KEYED:
        path = f"/v1/{collection.replace('_', '-')}"
        name = collection.replace("_", " ")
        _add_reads(router, collection, path, name)
        _add_post(router, collection, path, name)
        if collection not in ADDED_ONLY:
            _add_patch(router, collection, path, name)
    for collection in TAKEN_BACK:
        _add_delete(router, collection)
    return router


def _add_reads(router: APIRouter, collection: str, path: str, name: str) -> None:
    def listed(
        desk: TheDesk,
        limit: Annotated[int, Query(ge=1, le=1000)] = 100,
        after: Annotated[str | None, Query(alias="next", description="The cursor of the page before.")] = None,
    ) -> JSONResponse:
        rows = rows_of(desk.store.farm(), collection)
        start = _place(after)
        versions = desk.store.row_versions(collection)
        shapes = [_shape(collection, row, versions.get(row.key, 0)) for row in rows[start : start + limit]]
        more = start + limit < len(rows)
        page = {"rows": [shape.model_dump(mode="json") for shape in shapes]}
        return JSONResponse({**page, "next": _cursor(start + limit) if more else None})

    def one(desk: TheDesk, key: str) -> JSONResponse:
        return _stored(desk, collection, key)

    router.add_api_route(
        path,
        listed,
        methods=["GET"],
        dependencies=[_for(collection)],
        summary=f"List {name}",
        name=f"list {name}",
        description=f"The {name} in the order in which they were written, a page at a time.",
        responses=_answering(row_schemas.page(collection)),
    )
    router.add_api_route(
        f"{path}/{{key}}",
        one,
        methods=["GET"],
        dependencies=[_for(collection)],
        summary=f"Read one of the {name}",
        name=f"read {name}",
        description=f"One of the {name} by its key; its ETag goes with a PATCH as If-Match.",
        responses=_answering(row_schemas.row(collection)),
    )


def _add_post(router: APIRouter, collection: str, path: str, name: str) -> None:
    body, is_judged = _body(NEW_ROWS[collection], row_schemas.new_row(collection)), collection in PROMISING

    def added(
        call: TheCall, values: dict[str, Any] = body, override: Override = False, override_reason: OverrideReason = ""
    ) -> JSONResponse:
        asked = RowAsked(collection, values, override_reason if override else None)
        kept = _kept(collection, lambda work: add_row(call.desk, work, asked))
        needs_plan = is_judged or (collection == "records" and asks_forecast(call.desk.store.farm(), values))
        answer = call.answer(kept, status=201, is_judged=needs_plan)
        return _stored(call.desk, collection, str(values["key"]), 201) if collection == PERSONAL else answer

    router.add_api_route(
        path,
        added,
        methods=["POST"],
        dependencies=[_for(collection)],
        summary=f"Add to the {name}",
        name=f"add {name}",
        description=f"Put in a new one of the {name}. {_SAYS_COLUMNS}",
        status_code=201,
        responses=_answering(row_schemas.row(collection), 201),
    )


def _add_patch(router: APIRouter, collection: str, path: str, name: str) -> None:
    body, is_judged = _body(CHANGES[collection], row_schemas.changed_row(collection)), collection in PROMISING

    def changed(
        call: TheCall,
        key: str,
        values: dict[str, Any] = body,
        override: Override = False,
        override_reason: OverrideReason = "",
        if_match: IfMatch = None,
    ) -> JSONResponse:
        expected = _expected(if_match)
        asked = RowAsked(collection, values, override_reason if override else None)
        kept = _kept(collection, lambda work: change_row(call.desk, work, key, asked, expected=expected))
        call.answer(kept, is_judged=is_judged)
        return _stored(call.desk, collection, key)

    router.add_api_route(
        f"{path}/{{key}}",
        changed,
        methods=["PATCH"],
        dependencies=[_for(collection)],
        summary=f"Change one of the {name}",
        name=f"change {name}",
        description=f"Change the named values of one of the {name}; what is not named stays. {_SAYS_COLUMNS}",
        responses=_answering(row_schemas.row(collection)),
    )


def _add_delete(router: APIRouter, collection: str) -> None:
    name = collection.replace("_", " ")

    def taken_back(call: TheCall, key: str, if_match: IfMatch = None) -> JSONResponse:
        expected = _expected(if_match)
        return call.answer(_kept(collection, lambda work: take_back_row(work, collection, key, expected=expected)))

    router.add_api_route(
        f"/v1/{collection.replace('_', '-')}/{{key}}",
        taken_back,
        methods=["DELETE"],
        dependencies=[_for(collection)],
        summary=f"Take back one of the {name}",
        name=f"take back {name}",
        description=f"Take one of the {name} out, as if it had never been entered; the answer is the row as it was.",
        responses=_answering(row_schemas.row(collection)),
    )


def _for(collection: str) -> DependsMark:
    """A farm hand reads and adds field records; every other table is the owner's."""
    return only_for(Audience.HAND if collection == "records" else Audience.OWNER)


def _answering(schema: str, status: int = 200) -> dict[int | str, dict[str, Any]]:
    return {status: {"content": {"application/json": {"schema": marked(schema)}}}}


def _body(example: Example, schema: str) -> Any:
    shown: dict[str, OpenApiExample] = {"example": {"summary": "An example", "value": dict(example)}}
    return Body(max_length=_MOST_VALUES, openapi_examples=shown, json_schema_extra=marked(schema))


def _kept(collection: str, write: Callable[[UnitOfWork], Any]) -> Callable[[UnitOfWork], RowShape]:
    """The answer to a write as it is kept for the same key: a person's row by its key alone."""

    def kept(work: UnitOfWork) -> RowShape:
        row, version = write(work), work.farm.version + 1
        return RowShape(key=row.key, version=version) if collection == PERSONAL else _shape(collection, row, version)

    return kept


def _stored(desk: Desk, collection: str, key: str, status: int = 200) -> JSONResponse:
    """A row as it stands."""
    row = row_of(desk.store.farm(), collection, key)
    version = desk.store.row_version(collection, key) or 0
    return answered(_shape(collection, row, version).model_dump(mode="json"), status)


def _shape(collection: str, row: Any, version: int) -> RowShape:
    values = values_of(collection, row)
    for column in NEVER_SHOWN.get(collection, ()):
        values.pop(column)
    return RowShape(**values, version=version)


def _expected(if_match: str | None) -> int | None:
    if if_match is None or if_match.strip() == "*":
        return None
    text = if_match.strip().removeprefix("W/").strip('"')
    if not (text.isascii() and text.isdigit() and len(text) < 16):
        raise NotAccepted(where="If-Match", found=f"'{if_match}'", accepted="the ETag of the row as it was read")
    return int(text)


def _cursor(place: int) -> str:
    return base64.urlsafe_b64encode(str(place).encode()).decode().rstrip("=")


def _place(cursor: str | None) -> int:
    if cursor is None:
        return 0
    try:
        text = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)).decode("ascii")
        if not text.isdigit() or len(text) > 9:
            raise ValueError(cursor)
        return int(text)
    except (ValueError, binascii.Error):
        raise NotAccepted(where="next", found=f"'{cursor[:40]}'", accepted="the cursor of the page before") from None
