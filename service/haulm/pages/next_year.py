"""Next year beside this one: a season's sowings copied, its standing orders one by one, and what is to be ordered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response
from pydantic import BeforeValidator

from haulm.advice.next_season import is_slack
from haulm.errors import NotAccepted
from haulm.farm.warnings import general_words, warnings_at
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import Names
from haulm.jobs.farm.learn_figures import LearnedFigure
from haulm.jobs.gaps.copy_season import CopyAsked, copy_season, figures_offered
from haulm.jobs.gaps.next_year_words import STAYS_WORDS, copy_in_words, stood_for
from haulm.jobs.gaps.over_full_beds import fuller_with
from haulm.jobs.gaps.renew_standing import Renewal, RenewAsked, let_end, renew_standing, see_renewals
from haulm.jobs.gaps.see_next_year import NextSowing, NextYear, season_name, see_next_year
from haulm.jobs.gaps.see_order_list import PLACE, as_csv, see_order_list
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.language.words import _
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out, reason_of, whole_number
from haulm.pages.look import HEADERS, back_to, page
from haulm.pages.parts import PartAsked, part_of
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_ROWS = 12
"""Rows of the order list at a time, so that a phone's page ends."""
_COPY, _FIGURE, _STEMS = "copy-", "figure-", "stems-"
SeasonAsked = Annotated[int | None, Query(ge=1900, le=2999), BeforeValidator(lambda said: said or None)]


@dataclass(frozen=True, slots=True)
class Figures:
    """Which learnt figures are taken over: those that are ticked (None: each that is offered), or none at all."""

    takes: bool
    names: frozenset[str] | None = None

    @property
    def taken(self) -> tuple[tuple[str, str], ...]:
        """Each by variety and name."""
        parts = (name.rpartition("/") for name in sorted(self.names or ()))
        return tuple((variety, figure) for variety, _slash, figure in parts) if self.takes else ()


@dataclass(frozen=True, slots=True)
class Row:
    """A sowing on the page: its copy and what it stood for in words, whether it is ticked."""

    one: NextSowing
    copy: str
    stood: str
    is_ticked: bool


@dataclass(frozen=True, slots=True)
class KindRows:
    """A kind's rows, why they are not ticked, and how many are."""

    name: str
    caution: str | None
    why_poor: str
    rows: tuple[Row, ...]

    @property
    def ticked(self) -> int:
        """How many of its rows are ticked."""
        return sum(row.is_ticked for row in self.rows)

    @property
    def copied(self) -> int:
        """How many of its rows are in the plan already."""
        return sum(row.one.is_copied for row in self.rows)


@router.get("/next-year")
def next_year(request: Request, desk: PageDesk, season: SeasonAsked = None) -> Response:
    """A season's sowings beside their copies, those that are proposed ticked; nothing is written."""
    found = see_next_year(desk, season)
    # While this season's promises still rest on them, figures are taken over by a word of hers, never by the way.
    figures = Figures(is_slack(found.plan.today, found.plan.farm.site.latitude))
    return _shown(request, desk, found, ({one.batch.key for one in found.ticked}, figures))


@router.post("/next-year")
def copied(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Put what is ticked into the plan, or only look what it would ask of the beds."""
    season = whole_number("season", form.get("season", ""))
    ticked = tuple(name.removeprefix(_COPY) for name in form if name.startswith(_COPY))
    named = tuple(name.removeprefix(_FIGURE) for name in form if name.startswith(_FIGURE))
    figures = Figures(bool(form.get("figures")), frozenset(named))
    if form.get("step") == "look" or not (ticked or figures.taken):
        wrong = None if form.get("step") == "look" else _("Nothing is ticked, so nothing was written.")
        return _shown(request, desk, see_next_year(desk, season), (set(ticked), figures), wrong)
    asked = CopyAsked(season, ticked, figures.taken)

    def written(work: UnitOfWork) -> None:
        copy_season(desk, work, asked)

    carried_out(request, form, written, is_judged=True)
    return back_to(f"/next-year?season={season}", "season_copied")


def _shown(
    request: Request, desk: Desk, found: NextYear, ticked: tuple[set[str], Figures], wrong: str | None = None
) -> Response:
    """The page with the sowings and the figures that are ticked."""
    sowings, figures = ticked
    names, currency = Names(found.plan.farm), found.plan.farm.site.currency

    def rows(some: Iterable[NextSowing]) -> tuple[Row, ...]:
        return tuple(
            Row(
                one,
                copy_in_words(names, one),
                stood_for(one, currency),
                one.may_be_ticked and one.batch.key in sowings,
            )
            for one in some
        )

    copies = [one.copy for one in found.sowings if one.may_be_ticked and one.batch.key in sowings]
    kinds = [KindRows(kind.crop.name, kind.crop.caution, kind.why_poor, rows(kind.sowings)) for kind in found.kinds]
    return page(
        request,
        "next_year.html",
        status=200 if wrong is None else status_of(NotAccepted, request.app.state.statuses),
        found=found,
        kinds=kinds,
        tubers=rows(found.kept),
        standing=[(names.of_batch(batch), _(STAYS_WORDS[why])) for batch, why in found.standing],
        seasons=_seasons(found),
        figures=[(one, figures.names is None or _name_of(one) in figures.names) for one in figures_offered(desk)],
        takes_figures=figures.takes,
        fuller=fuller_with(found.plan, copies, found.ends),
        count=len(copies),
        wrong=wrong,
    )


def _name_of(one: LearnedFigure) -> str:
    return f"{one.own.variety}/{one.own.figure}"


def _seasons(found: NextYear) -> list[tuple[int, str]]:
    """The seasons one may look at: those that have begun, each with its name."""
    return [(year, season_name(year, found.plan.farm)) for year in found.seasons if year <= found.this_year]


@router.get("/next-year/orders")
def standing(request: Request, desk: PageDesk, season: SeasonAsked = None) -> Response:
    """The standing orders of a season, each with its way into the next."""
    return _orders(request, desk, season)


@router.post("/next-year/orders/{key}")
def judged(request: Request, desk: PageDesk, key: str, form: TheForm) -> Response:
    """Renew one standing order, or let it end; a refusal stands beside it."""
    season = whole_number("season", form.get("season", ""))
    ends = form.get("step") == "end"
    asked = RenewAsked(key, _stems(form), reason_of(form))

    def written(work: UnitOfWork) -> None:
        if ends:
            let_end(work, key)
        else:
            renew_standing(desk, work, asked)

    try:
        carried_out(request, form, written, is_judged=True)
    except PromiseRefused as refusal:
        status = status_of(PromiseRefused, request.app.state.statuses)
        return _orders(request, desk, season, (key, refusal, form), status)
    return back_to(f"/next-year/orders?season={season}", "order_let_end" if ends else "order_renewed")


def _stems(form: Form) -> dict[str, int]:
    """The stems of each line as they were typed."""
    typed = {name: text for name, text in form.items() if name.startswith(_STEMS)}
    return {name.removeprefix(_STEMS): whole_number(_("stems"), text or "0") for name, text in typed.items()}


def _orders(
    request: Request,
    desk: Desk,
    season: int | None,
    refused: tuple[str, PromiseRefused, Form] | None = None,
    status: int = 200,
) -> Response:
    found = see_next_year(desk, season)
    shown = found.this_year if found.season is None else found.season
    renewals = see_renewals(desk, shown)
    return page(
        request,
        "next_year_orders.html",
        status=status,
        found=found,
        season=shown,
        waiting=[one for one in renewals if one.is_open],
        done=[one for one in renewals if not one.is_open],
        crops=found.plan.crops,
        refused=refused,
        stems=_typed_stems(renewals, refused),
        seasons=_seasons(found),
    )


def _typed_stems(renewals: Iterable[Renewal], refused: tuple[str, PromiseRefused, Form] | None) -> dict[str, int | str]:
    """The stems in each field: as they were typed where the order was refused, else as the line has them."""
    typed = {} if refused is None else refused[2]
    return {line.key: typed.get(f"{_STEMS}{line.key}", line.stems) for one in renewals for line in one.lines}


@router.get("/next-year/list", dependencies=[kept()])
def order_list(request: Request, desk: PageDesk, season: SeasonAsked = None, part: PartAsked = 1) -> Response:
    """What is to be ordered for a season: as page, in parts; as paper and as CSV from here, whole."""
    found = see_order_list(desk, season)
    crops = [row.found.crop for row in found.rows]
    return page(
        request,
        "next_year_list.html",
        found=found,
        shown=part_of(found.to_order, part, _ROWS),
        warned=warnings_at(PLACE, crops),
        general=general_words(PLACE) if crops else (),
    )


@router.get("/next-year/list/{season}.csv")
def order_list_file(desk: PageDesk, season: Annotated[int, Path(ge=1900, le=2999)]) -> Response:
    """The same as a table for other programs."""
    found = see_order_list(desk, season)
    headers = {**HEADERS, "Content-Disposition": f'attachment; filename="order-list-{found.season}.csv"'}
    return Response(as_csv(found), media_type="text/csv; charset=utf-8", headers=headers)
