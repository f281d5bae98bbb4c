"""GET /v1/hoped-for, and the extra sowings that would pay."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter
from pydantic import Field

from haulm.farm.quantities import whole_percent
from haulm.farm.weeks import Week
from haulm.farm.words import Method
from haulm.jobs.gaps.see_usual_sales import see_hoped_sowings, see_usual_sales
from haulm.planning.usual_figures import BedMoney, HopedSowing, HopedWeek, SaleOutlook
from haulm.rest.wire import Shape, TheDesk
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["usual sales"])


class HopedWeekShape(Shape):
    """A week of a usual sale: stems it would get on average, and the share of seasons in which it gets all."""

    week: str
    due: date
    asked: int
    stems: float
    full: float
    minor: int


class HopedSaleShape(Shape):
    """A usual sale against what is left of every promise."""

    key: str
    name: str
    stems: float = Field(description="A week, on average over its weeks.")
    full: float = Field(description="The share of seasons in which a week is full, on average over its weeks.")
    minor: int
    weeks: list[HopedWeekShape]


class HopedMoneyShape(Shape):
    """Money hoped for in one week."""

    week: str
    minor: int


class BedMoneyShape(Shape):
    """What a batch brings from today on, less what is still to be spent, for its metres and weeks."""

    batch: str
    kind: str
    promised_minor: int
    hoped_minor: int
    stall_minor: int
    cost_minor: int
    stems: float
    sold: float
    metres: float
    weeks: float
    minor_per_metre: float
    minor_per_metre_week: float


class HopedForShape(Shape):
    """Usual sales, apart from everything promised, and money per metre of bed."""

    currency: str
    minor: int
    sales: list[HopedSaleShape]
    weeks: list[HopedMoneyShape]
    beds: list[BedMoneyShape]


@router.get("/v1/hoped-for", dependencies=[only_for(Audience.OWNER), kept()])
def hoped_for(desk: TheDesk) -> HopedForShape:
    """What each usual sale would get of what nobody was promised, and what beds bring, the best kind first.

    No promise rests on any of it.
    """
    found = see_usual_sales(desk)
    return HopedForShape(
        currency=found.currency,
        minor=round(found.minor),
        sales=[_sale(one.name, one.outlook) for one in found.shown if one.outlook is not None],
        weeks=[HopedMoneyShape(week=str(week), minor=round(minor)) for week, minor in found.weeks],
        beds=[_bed(kind.name, bed) for kind in found.kinds for _, bed in kind.batches],
    )


class HopedSowingShape(Shape):
    """An extra sowing that usual sales would pay for; no promise needs it."""

    variety: str
    sow_date: date | None
    method: Method
    sown: int | None
    bed: str | None
    gained_minor: int
    spent_minor: int
    metres: float
    weeks: float
    minor_per_metre_week: float


class HopedSowingsShape(Shape):
    """One of each kind at most, the most for a metre of bed and week first."""

    sowings: list[HopedSowingShape]


@router.get("/v1/hoped-for/sowings", dependencies=[only_for(Audience.OWNER), kept()])
def hoped_sowings(desk: TheDesk) -> HopedSowingsShape:
    """Extra sowings that usual sales would pay for, each by itself and after every promise."""
    return HopedSowingsShape(sowings=[_sowing(one.sowing) for one in see_hoped_sowings(desk)])


def _sowing(one: HopedSowing) -> HopedSowingShape:
    return HopedSowingShape(
        variety=one.batch.variety,
        sow_date=one.batch.sow_date,
        method=one.batch.method,
        sown=one.batch.sown,
        bed=one.batch.bed,
        gained_minor=round(one.gained_minor),
        spent_minor=round(one.spent_minor),
        metres=round(one.metres, 2),
        weeks=round(one.weeks, 2),
        minor_per_metre_week=round(one.per_metre_week, 2),
    )


def _sale(name: str, one: SaleOutlook) -> HopedSaleShape:
    return HopedSaleShape(
        key=one.sale.key,
        name=name,
        stems=round(one.stems, 2),
        full=whole_percent(one.full),
        minor=round(one.minor),
        weeks=[_week(week) for week in one.weeks],
    )


def _week(one: HopedWeek) -> HopedWeekShape:
    return HopedWeekShape(
        week=str(Week.of(one.due)),
        due=one.due,
        asked=one.asked,
        stems=round(one.stems, 2),
        full=whole_percent(one.full),
        minor=round(one.minor),
    )


def _bed(kind: str, one: BedMoney) -> BedMoneyShape:
    return BedMoneyShape(
        batch=one.batch.key,
        kind=kind,
        promised_minor=round(one.promised_minor),
        hoped_minor=round(one.hoped_minor),
        stall_minor=round(one.stall_minor),
        cost_minor=round(one.cost_minor),
        stems=round(one.stems, 2),
        sold=round(one.sold, 2),
        metres=round(one.metres, 2),
        weeks=round(one.weeks, 2),
        minor_per_metre=round(one.per_metre, 2),
        minor_per_metre_week=round(one.per_metre_week, 2),
    )
