"""The rows of the farm folder, one by one: GET, POST and PATCH on each collection."""

from __future__ import annotations

import base64
import binascii
from typing import Annotated, Any

from fastapi import APIRouter, Body, Header, Query
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.errors import NotAccepted
from haulm.farm_folder.cells import values_of
from haulm.jobs.change_rows import KEYED, add_row, change_row, row_of, rows_of
from haulm.rest.wire import Call, Shape, TheCall, TheDesk
from haulm.web.audience import Audience, only_for

Values = Annotated[
    dict[str, Any],
    Body(description="Values by column, as in the farm folder; see docs/reference/farm-folder.md.", max_length=64),
]
IfMatch = Annotated[str | None, Header(alias="If-Match", description="The ETag that was read; a stale one gets 412.")]


class RowShape(Shape):
    """A row by its columns, with its version."""

    model_config = ConfigDict(extra="allow", frozen=True)

    key: str
    version: int | None = Field(description="The farm's version that wrote the row last.")


class PageShape(Shape):
    """A page of rows; `next` asks for the page after it, null on the last."""

    rows: list[RowShape]
    next: str | None


def collections_router() -> APIRouter:
    """A route per collection and verb, so that each is in the description by its own name."""
    router = APIRouter(tags=["rows"], dependencies=[only_for(Audience.OWNER)])
    for collection in KEYED:
        _add_routes(router, collection)
    return router


def _add_routes(router: APIRouter, collection: str) -> None:
    path = f"/v1/{collection.replace('_', '-')}"
    name = collection.replace("_", " ")

    def listed(
        desk: TheDesk,
        limit: Annotated[int, Query(ge=1, le=1000)] = 100,
        after: Annotated[str | None, Query(alias="next", description="The cursor of the page before.")] = None,
    ) -> PageShape:
        rows = rows_of(desk.store.farm(), collection)
        start = _place(after)
        versions = desk.store.row_versions(collection)
        page = [_shape(collection, row, versions.get(row.key)) for row in rows[start : start + limit]]
        more = start + limit < len(rows)
        return PageShape(rows=page, next=_cursor(start + limit) if more else None)

    def one(desk: TheDesk, key: str) -> JSONResponse:
        row = row_of(desk.store.farm(), collection, key)
        return _with_etag(_shape(collection, row, desk.store.row_version(collection, key)))

    def added(call: TheCall, values: Values) -> JSONResponse:
        return call.answer(lambda work: _fresh(collection, add_row(call.desk, work, collection, values)), status=201)

    def changed(call: TheCall, key: str, values: Values, if_match: IfMatch = None) -> JSONResponse:
        expected = _expected(if_match)
        call.answer(lambda work: _fresh(collection, change_row(work, collection, key, values, expected=expected)))
        return _now(call, collection, key)

    router.add_api_route(path, listed, methods=["GET"], summary=f"The {name}", name=f"list {name}")
    router.add_api_route(
        path,
        added,
        methods=["POST"],
        summary=f"Put in one of the {name}",
        name=f"add {name}",
        status_code=201,
        response_model=RowShape,
    )
    router.add_api_route(
        f"{path}/{{key}}",
        one,
        methods=["GET"],
        summary=f"One of the {name}",
        name=f"read {name}",
        response_model=RowShape,
    )
    if collection != "records":
        router.add_api_route(
            f"{path}/{{key}}",
            changed,
            methods=["PATCH"],
            summary=f"Change one of the {name}",
            name=f"change {name}",
            response_model=RowShape,
        )


def _now(call: Call, collection: str, key: str) -> JSONResponse:
    """The row as it stands after the commit, with its new ETag."""
    row = row_of(call.desk.store.farm(), collection, key)
    return _with_etag(_shape(collection, row, call.desk.store.row_version(collection, key)))


def _fresh(collection: str, row: Any) -> RowShape:
    """The row as it was written; its answer may be kept, so it holds nobody's name."""
    shape = _shape(collection, row, None)
    return RowShape(key=row.key, version=None) if collection == "customers" else shape


def _shape(collection: str, row: Any, version: int | None) -> RowShape:
    values = values_of(collection, row)
    if collection == "customers":
        values.pop("email", None)
    return RowShape(**values, version=version)


def _with_etag(shape: RowShape) -> JSONResponse:
    return JSONResponse(shape.model_dump(mode="json"), headers={"ETag": f'"{shape.version}"'})


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
