"""The order list of a season: what to order by which day, with a box to tick once it is done."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from haulm.jobs.gaps.see_order_list import PLACE, OrderRow, see_order_list
from haulm.paper.press import pressed
from haulm.paper.sending import PDF, PaperAnswer, PaperDesk, PaperSize, sent
from haulm.paper.words import care_rows, day
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["paper"], prefix="/paper", dependencies=[only_for(Audience.OWNER)])


@router.get("/order-list.pdf", response_class=PaperAnswer, responses=PDF)
def order_list_paper(
    desk: PaperDesk,
    season: Annotated[
        int | None, Query(ge=1900, le=2999, description="The growing year; the coming one unless said.")
    ] = None,
    size: PaperSize = PaperSize.A4,
) -> PaperAnswer:
    """What the sowings to come of a season need that is bought, less what is at home or ordered."""
    found = see_order_list(desk, season)
    data = {
        "title": f"Order list for {found.name}",
        "farm": desk.store.farm().site.name,
        "size": size,
        "intro": f"As of {day(desk.today())}. Places (cells, pots, clumps, stations) are counted, never seeds.",
        **care_rows(PLACE, [row.found.crop for row in found.to_order]),
        "none": "Nothing has to be ordered.",
        "rows": [_row(row) for row in found.to_order],
        "at_home": [row.need.sentence for row in found.at_home],
    }
    return sent(pressed("order_list", data), f"order-list-{found.season}")


def _row(row: OrderRow) -> dict[str, str]:
    one = row.found
    last = "" if one.last == one.first else f" to {day(one.last)}"
    late = "" if one.wanted_by is None else f"at once: too late for {day(one.wanted_by)}"
    return {
        "name": f"{row.name}, {row.what}",
        "botanical": one.crop.botanical_name or "",
        "amount": row.amount,
        "order_by": late if one.order_by is None else day(one.order_by),
        "wanted": f"{row.reckoning}, {day(one.first)}{last}",
    }
