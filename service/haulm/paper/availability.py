"""The availability list on one page: what is sure for a week, and what comes up in the weeks after it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query

from haulm.advice.asked_words import asked_in_words
from haulm.demand.standing import delivery_days
from haulm.farm.place_words import Place
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.warnings import kinds_among, only_dried
from haulm.farm.weeks import Week
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.list_availability import AvailabilityAsked, AvailabilityRow, list_availability
from haulm.language.words import _, marked
from haulm.paper.press import pressed
from haulm.paper.prices import bunch_price
from haulm.paper.sending import PDF, PaperAnswer, PaperDesk, PaperSize, sent
from haulm.paper.words import care_rows, day
from haulm.planning.plan import Plan
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["paper"], prefix="/paper", dependencies=[only_for(Audience.OWNER)])
_WEEKS_AHEAD = 6
_NOTES = (
    marked("Subject to weather: what is not ordered and confirmed is not promised."),
    marked("Not for food unless we say so for a kind."),
)


@router.get("/availability.pdf", response_class=PaperAnswer, responses=PDF)
def availability(
    desk: PaperDesk,
    week: Annotated[str | None, Query(description="The week, such as 2027-W24; this week unless said.")] = None,
    size: PaperSize = PaperSize.A4,
) -> PaperAnswer:
    """What is free to promise on the best delivery day of a week, and what may be hoped for, in whole bunches."""
    found = Week.of(desk.today()) if week is None else Week.parse(week, where="week")
    return sent(pressed("availability", _data(desk, found, size)), f"availability-{found}")


def _data(desk: Desk, week: Week, size: str) -> dict[str, Any]:
    plan = desk.plan()
    site = plan.farm.site
    asked = AvailabilityAsked(week, 1 + _WEEKS_AHEAD, site.free_level)
    rows = list_availability(desk, asked)
    now = [row for row in rows if row.week in (week, None) and _hope(row, plan.crops)]
    hopes = any(_hope(row, plan.crops) > _bunches(row, plan.crops) for row in now)
    products = [row.product for row in now]
    products += [Product.parse(product) for product, _week in _first_weeks(rows, week, plan.crops)]
    days = _(" or ").join(day(week.day(weekday)) for weekday in delivery_days(plan.farm))
    return {
        "title": _("Availability, week {number}, {days}").format(number=week.number, days=days),
        "farm": site.name,
        "size": size,
        "intro": _intro(site, days, hopes=hopes),
        "hopes": hopes,
        "none": _("Nothing is free this week."),
        "rows": [_row(row, plan) for row in now],
        "coming": list(_coming(rows, week, plan.crops)),
        **care_rows(Place.CONDITIONING, kinds_among(products, plan.crops), only_dried(products)),
        "general": [],
        "notes": [_(note) for note in _NOTES],
    }


def _intro(site: Site, days: str, *, hopes: bool) -> str:
    """What the list holds and until when to order; `hopes` where anything is hoped for."""
    said = (
        _("Free on {days}, in whole bunches; what we hope to offer is not promised. Please order by {weekday} {time}.")
        if hopes
        else _("Free on {days}, in whole bunches. Please order by {weekday} {time}.")
    )
    cutoff = site.cutoff
    return said.format(
        days=days,
        weekday=cutoff.weekday.full_name,
        time=f"{cutoff.at:%H:%M}",
    )


def _bunches(row: AvailabilityRow, crops: Mapping[str, Crop]) -> int:
    return row.free_to_promise // crops[row.product.variety].bunch_stems


def _hope(row: AvailabilityRow, crops: Mapping[str, Crop]) -> int:
    return row.hope_to_offer // crops[row.product.variety].bunch_stems


def _row(row: AvailabilityRow, plan: Plan) -> dict[str, str]:
    crop = plan.crops[row.product.variety]
    return {
        "name": asked_in_words(row.product, plan.crops),
        "colour": crop.colour or "",
        "lengths": ", ".join(f"{one.length_cm}" for one in crop.lengths) + (" cm" if crop.lengths else ""),
        "bunch": str(crop.bunch_stems),
        "bunches": f"{_bunches(row, plan.crops):,}",
        "hope": f"{_hope(row, plan.crops):,}",
        "price": bunch_price(plan, row.product, _("on request")),
    }


def _coming(rows: Iterable[AvailabilityRow], week: Week, crops: Mapping[str, Crop]) -> Iterable[str]:
    """Kinds with no bunch now and some later, each with its first week."""
    for product, found in _first_weeks(rows, week, crops):
        yield _("{kind}: from week {number}").format(kind=asked_in_words(product, crops), number=found.number)


def _first_weeks(rows: Iterable[AvailabilityRow], week: Week, crops: Mapping[str, Crop]) -> Iterable[tuple[str, Week]]:
    """Products with no bunch now and some later, each with its first week."""
    first: dict[str, Week] = {}
    here = {row.product for row in rows if row.week in (week, None) and _bunches(row, crops)}
    for row in rows:
        if row.week is not None and row.product not in here and _bunches(row, crops):
            first.setdefault(str(row.product), row.week)
    return sorted(first.items(), key=lambda item: (item[1], item[0]))
