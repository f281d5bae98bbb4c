"""What is free to promise, by product and week."""

from __future__ import annotations

from itertools import groupby
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from pydantic import BeforeValidator

from haulm.farm.weeks import Week
from haulm.farm.words import Weekday
from haulm.jobs.promises.list_availability import AvailabilityAsked, AvailabilityRow, list_availability
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.drawing import Strip, panels, strip
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_LEVELS = (0.5, 0.65, 0.8, 0.9)


@router.get("/free", dependencies=[kept()])
def free(
    request: Request,
    desk: PageDesk,
    weeks: Annotated[int, Query(ge=1, le=52)] = 8,
    sure: Annotated[float | None, Query(gt=0, lt=1)] = None,
    weekday: Annotated[Weekday | None, BeforeValidator(lambda said: said or None)] = None,
    first: Annotated[str | None, Query(alias="from")] = None,
) -> Response:
    """Weeks of a product side by side, drawn and as a table."""
    site = desk.store.farm().site
    asked = AvailabilityAsked(
        Week.parse(first, where="from") if first else Week.of(desk.today()),
        weeks,
        sure if sure is not None else site.free_level,
        weekday,
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
        products=products,
        typical=typical,
        hopes=hopes,
        levels=levels,
        weekdays=list(Weekday),
        crops=crops,
    )


def _drawn(rows: list[AvailabilityRow]) -> Strip | None:
    """The weeks of a product as a band; dried stock has none."""
    dated = [(row.week.number, row.ready, row.free_to_promise) for row in rows if row.week is not None]
    return strip([(str(number), *ready) for number, ready, _ in dated]) if dated else None
