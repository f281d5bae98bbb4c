"""What is free to promise, by product and week."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request, Response
from pydantic import BaseModel, BeforeValidator, Field

from haulm.farm.weeks import Week
from haulm.farm.words import Weekday
from haulm.jobs.promises.list_availability import AvailabilityAsked, AvailabilityRow, list_availability
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.drawing import Strip, panels, strip
from haulm.pages.look import page
from haulm.pages.parts import MOST_PARTS, part_of
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_LEVELS = (0.5, 0.65, 0.8, 0.9)
_PART = 10
"""Products at once: each stands with its drawing and its table."""


class FreeSought(BaseModel):
    """What the address of the page asks."""

    weeks: Annotated[int, Field(ge=1, le=52)] = 8
    sure: Annotated[float | None, Field(gt=0, lt=1)] = None
    weekday: Annotated[Weekday | None, BeforeValidator(lambda said: said or None)] = None
    first: Annotated[str | None, Field(alias="from")] = None
    part: Annotated[int, Field(ge=1, le=MOST_PARTS)] = 1


@router.get("/free", dependencies=[kept()])
def free(
    request: Request,
    desk: PageDesk,
    sought: Annotated[FreeSought, Query()],
) -> Response:
    """Weeks of a product side by side, drawn and as a table; a few products at once."""
    site = desk.store.farm().site
    asked = AvailabilityAsked(
        Week.parse(sought.first, where="from") if sought.first else Week.of(desk.today()),
        sought.weeks,
        sought.sure if sought.sure is not None else site.free_level,
        sought.weekday,
    )
    crops = desk.plan().crops
    by_product = groupby(list_availability(desk, asked), key=lambda row: row.product)
    products = [
        (str(product), crops[product.variety].name, crops[product.variety].caution, shown, _drawn(shown))
        for product, shown in ((product, list(rows)) for product, rows in by_product)
        if any(row.ready[2] or row.committed for row in shown)
    ]
    typical = {str(one.product): panels(one.seasons) for one in desk.plan().typical_products}
    hopes = {name for name, _, _, shown, _ in products if any(row.hope_to_offer > row.free_to_promise for row in shown)}
    levels = sorted({*_LEVELS, asked.confidence})
    return page(
        request,
        "free.html",
        asked=asked,
        shown=part_of(products, sought.part, _PART),
        jumps=_jumps(products),
        path=f"/free?{_asked_so(request)}",
        typical=typical,
        hopes=hopes,
        levels=levels,
        weekdays=list(Weekday),
        crops=crops,
    )


def _jumps(
    products: Sequence[tuple[str, str, str | None, list[AvailabilityRow], Strip | None]],
) -> list[tuple[str, int, int]]:
    """Every product with the part it stands in and the most stems of it that may be promised in a week."""
    return [
        (product, 1 + place // _PART, max(row.free_to_promise for row in rows))
        for place, (product, _, _, rows, _) in enumerate(products)
    ]


def _asked_so(request: Request) -> str:
    """What else the address asks, to turn to another part of the same."""
    others = [(name, value) for name, value in request.query_params.multi_items() if name != "part"]
    return f"{urlencode(others)}&" if others else ""


def _drawn(rows: list[AvailabilityRow]) -> Strip | None:
    """The weeks of a product as a band; dried stock has none."""
    dated = [(row.week.number, row.ready, row.free_to_promise) for row in rows if row.week is not None]
    return strip([(str(number), *ready) for number, ready, _ in dated]) if dated else None
