"""Next year beside this one: a season's sowings copied, its standing orders renewed, what is to be ordered."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from fastapi import APIRouter, Query
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.advice.next_season import begun_on
from haulm.farm.limits import LONGEST_TEXT, MOST_STEMS
from haulm.farm.words import Needed
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.copy_season import Copied, CopyAsked, copy_season
from haulm.jobs.gaps.over_full_beds import fuller_with
from haulm.jobs.gaps.renew_standing import Renewal, RenewAsked, let_end, renew_standing, see_renewals
from haulm.jobs.gaps.see_next_year import NextKind, NextSowing, see_next_year
from haulm.jobs.gaps.see_order_list import OrderRow, see_order_list
from haulm.rest.wire import MOST_AT_ONCE, Ask, OverridingAsk, Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["next year"], prefix="/v1/next-year")

SeasonAsked = Annotated[int | None, Query(ge=1900, le=2999, description="A growing year; the usual one unless said.")]


class NextSowingShape(Shape):
    """A sowing beside its copy; `copied`: the copy is in the plan; `past`: its day is over."""

    batch: str
    variety: str
    begun: date | None
    copy_key: str
    copy_begun: date | None
    places: int
    bed: str | None
    stays: str | None = Field(description="tuber: nothing is copied of it unless it is named.")
    proposed: bool
    copied: bool
    past: bool
    lost: bool
    hoped: bool
    stems_cut: int
    stems_to_come: float | None
    minor_per_metre: int | None


class NextKindShape(Shape):
    """What a kind brought for a metre of bed, and why its sowings are not proposed; empty where they are."""

    variety: str
    minor_per_metre: int | None
    why_not: str


class StandingThereShape(Shape):
    """What stands for the next season: perennial, or winters."""

    batch: str
    stays: str


class NextYearShape(Shape):
    """A season beside the next; `season` null: there is none that could be copied."""

    season: int | None
    into: int
    seasons: list[int]
    currency: str
    sowings: list[NextSowingShape]
    kinds: list[NextKindShape]
    standing: list[StandingThereShape]
    over_full: list[str] = Field(description="What the proposed sowings would ask of beds beyond what these have.")


class FigureNamedAsk(Ask):
    """A learnt figure: weeks_to_flower, stems_per_plant or germination_pct of a variety."""

    variety: str = Field(max_length=LONGEST_TEXT)
    figure: str = Field(max_length=LONGEST_TEXT)


class CopySeasonAsk(Ask):
    """The season to copy, the sowings (left out: those that are proposed), and learnt figures to take over."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"season": 2027, "batches": ["lagurus-2"]}]})

    season: int | None = Field(default=None, ge=1900, le=2999)
    batches: list[Annotated[str, Field(max_length=LONGEST_TEXT)]] | None = Field(
        default=None, max_length=MOST_AT_ONCE * 4
    )
    figures: list[FigureNamedAsk] = Field(default=[], max_length=MOST_AT_ONCE)


class SeasonCopiedShape(Shape):
    """What was written; a sowing whose copy stood already is not among `batches`."""

    into: int
    batches: list[str]
    figures: int


class RenewalLineShape(Shape):
    """A line of a standing order."""

    line: str
    stems: int


class RenewalShape(Shape):
    """A standing order beside the next season's; `standing`: open, renewed, or let_end."""

    order: str
    customer: str
    standing: str
    renewed: str | None
    first_week: str
    last_week: str
    lines: list[RenewalLineShape]


class RenewalsShape(Shape):
    """The standing orders of a season, by their first delivery in the next."""

    season: int
    orders: list[RenewalShape]


class RenewalAsk(OverridingAsk):
    """Renew it, with other stems by the key of a line (0 leaves it out), or let it end."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"what": "renew", "stems": {"anna-1": 12}}]})

    what: Literal["renew", "let_end"]
    stems: dict[str, Annotated[int, Field(ge=0, le=MOST_STEMS)]] = Field(default={}, max_length=MOST_AT_ONCE)


class RenewedShape(Shape):
    """The order of the next season where it is renewed, else the order that ends."""

    what: str
    order: str


class OrderListRowShape(Shape):
    """What is to be ordered of a kind: places (never seeds), and days; `late`: too late for the first sowing."""

    variety: str
    name: str
    what: Needed
    places: int
    left: int
    to_order: int
    as_sold: int
    pack: int
    sowings: int
    first: date
    last: date
    order_by: date | None
    late: bool
    sentence: str


class OrderListShape(Shape):
    """The order list of a season, the first day to order first, what is at home last."""

    season: int
    seasons: list[int]
    rows: list[OrderListRowShape]


@router.get("", dependencies=[only_for(Audience.OWNER), kept()])
def next_year(desk: TheDesk, season: SeasonAsked = None) -> NextYearShape:
    """A season's sowings, each beside its copy on the same weekday of the same ISO week a year later.

    A kind whose metre of bed brings less than a third of what a metre of the middling kind brings is not proposed.
    """
    found = see_next_year(desk, season)
    proposed = {one.batch.key for one in found.ticked}
    return NextYearShape(
        season=found.season,
        into=found.into,
        seasons=list(found.seasons),
        currency=found.plan.farm.site.currency,
        sowings=[_sowing(one, one.batch.key in proposed) for one in found.sowings],
        kinds=[_kind(one) for one in found.kinds],
        standing=[StandingThereShape(batch=batch.key, stays=why) for batch, why in found.standing],
        over_full=list(fuller_with(found.plan, [one.copy for one in found.ticked], found.ends)),
    )


@router.post("", response_model=SeasonCopiedShape, dependencies=[only_for(Audience.OWNER)])
def copy(call: TheCall, body: CopySeasonAsk) -> JSONResponse:
    """Write the copies, all or none, under one entry that can be taken back; copied twice, nothing changes."""
    figures = tuple((one.variety, one.figure) for one in body.figures)
    batches = None if body.batches is None else tuple(body.batches)
    asked = CopyAsked(body.season, batches, figures)
    return call.answer(lambda work: _copied(copy_season(call.desk, work, asked)), is_judged=True)


@router.get("/standing-orders", dependencies=[only_for(Audience.OWNER), kept()])
def standing_orders(desk: TheDesk, season: SeasonAsked = None) -> RenewalsShape:
    """The standing orders of a season that were not ended, and what was decided of each."""
    shown = _season(desk, season)
    return RenewalsShape(season=shown, orders=[_renewal(one) for one in see_renewals(desk, shown)])


@router.post("/standing-orders/{key}", response_model=RenewedShape, dependencies=[only_for(Audience.OWNER)])
def renew(call: TheCall, key: str, body: RenewalAsk) -> JSONResponse:
    """Renew a standing order for the same weekday of the same weeks, judged as new demand is; or let it end."""

    def written(work: UnitOfWork) -> RenewedShape:
        if body.what == "let_end":
            return RenewedShape(what=body.what, order=let_end(work, key).key)
        order = renew_standing(call.desk, work, RenewAsked(key, body.stems, body.overriding))
        return RenewedShape(what=body.what, order=order.key)

    return call.answer(written, is_judged=True)


@router.get("/order-list", dependencies=[only_for(Audience.OWNER), kept()])
def order_list(desk: TheDesk, season: SeasonAsked = None) -> OrderListShape:
    """Seed, plugs and tubers of the sowings to come of a season, less what is ticked as at home or ordered."""
    found = see_order_list(desk, season)
    return OrderListShape(
        season=found.season, seasons=[year for year, _ in found.seasons], rows=[_order(row) for row in found.rows]
    )


def _season(desk: Desk, season: int | None) -> int:
    found = see_next_year(desk, season)
    return found.this_year if found.season is None else found.season


def _sowing(one: NextSowing, proposed: bool) -> NextSowingShape:
    return NextSowingShape(
        batch=one.batch.key,
        variety=one.batch.variety,
        begun=begun_on(one.batch),
        copy_key=one.copy.key,
        copy_begun=begun_on(one.copy),
        places=one.copy.places,
        bed=one.copy.bed,
        stays=one.stays,
        proposed=proposed,
        copied=one.is_copied,
        past=one.is_past,
        lost=one.is_lost,
        hoped=one.is_hoped,
        stems_cut=one.cut,
        stems_to_come=None if one.to_come is None else round(one.to_come, 2),
        minor_per_metre=None if one.earned is None else round(one.earned.per_metre),
    )


def _kind(one: NextKind) -> NextKindShape:
    per_metre = None if one.earned is None else round(one.earned.per_metre)
    return NextKindShape(variety=one.crop.key, minor_per_metre=per_metre, why_not=one.why_poor)


def _copied(one: Copied) -> SeasonCopiedShape:
    return SeasonCopiedShape(into=one.into, batches=[batch.key for batch in one.batches], figures=len(one.figures))


def _renewal(one: Renewal) -> RenewalShape:
    shown = one.renewed or one.proposed
    return RenewalShape(
        order=one.order.key,
        customer=one.order.customer,
        standing="open" if one.is_open else "let_end" if one.renewed is None else "renewed",
        renewed=None if one.renewed is None else one.renewed.key,
        first_week=str(shown.first_week),
        last_week=str(shown.last_week),
        lines=[RenewalLineShape(line=line.key, stems=line.stems) for line in one.lines],
    )


def _order(row: OrderRow) -> OrderListRowShape:
    one = row.found
    return OrderListRowShape(
        variety=one.crop.key,
        name=row.name,
        what=one.what,
        places=one.places,
        left=one.left,
        to_order=one.to_order,
        as_sold=one.bought,
        pack=one.pack,
        sowings=one.sowings,
        first=one.first,
        last=one.last,
        order_by=one.order_by,
        late=one.is_late,
        sentence=f"{row.amount}: {row.reckoning}",
    )
