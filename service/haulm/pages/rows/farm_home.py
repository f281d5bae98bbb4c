"""The page of the farm, from which everything that can be said of it is reached; and the library to take kinds from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response

from haulm.crop_library.library import crop_for, library
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.language.words import _, many, marked
from haulm.pages.doing import PageDesk, PageRoute
from haulm.pages.look import page
from haulm.pages.parts import PartAsked, part_of
from haulm.pages.rows.listing import PART, Line, address_of_parts, rows_shown
from haulm.pages.rows.names import Names
from haulm.pages.rows.tables import BY_COLLECTION
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_GROUPS: Sequence[tuple[str, Sequence[str]]] = (
    (marked("The ground"), ("beds", "sprays", "temperatures")),
    (marked("What grows"), ("varieties", "batches", "records", "known_stems")),
    (marked("Who takes it"), ("customers", "standing_orders", "orders")),
    (marked("Money"), ("prices", "recipes")),
)
_BESIDE: Sequence[Sequence[tuple[str, str]]] = (
    (
        (marked("Place and time zone"), "/farm/settings?open=place#place"),
        (marked("Frost and temperatures of a usual year"), "/farm/settings?open=climate#climate"),
        (marked("When sowing is possible"), "/farm/settings?open=season#season"),
    ),
    (
        (marked("Sow a kind again and again, every so many weeks"), "/rhythm"),
        (marked("Past years: what earlier seasons gave"), "/past-years"),
        (marked("Seed, young plants and tubers: at home or ordered"), "/at-home"),
    ),
    (
        (marked("Usual sales: what is hoped for"), "/usual-sales"),
        (marked("Kinds that can hurt, in bouquets and on tables"), "/decisions"),
    ),
    ((marked("What sowing, making and delivering costs, and tax"), "/farm/settings?open=money#money"),),
)
_PAPERS: Sequence[tuple[str, str]] = (
    (marked("Bring in a table from a spreadsheet"), "/paste"),
    (marked("Address, phone, bank and terms on papers"), "/farm/settings?open=papers#papers"),
    (marked("Cut days, bucket day and how sure a promise must be"), "/farm/settings?open=week#week"),
    (marked("Links and passwords"), "/links"),
)


@dataclass(frozen=True, slots=True)
class Heading:
    """A part of the farm with what leads to it."""

    title: str
    lines: tuple[Line, ...]


@router.get("/farm")
def farm(request: Request, desk: PageDesk) -> Response:
    """Everything that can be said of the farm, in groups."""
    headings = [
        Heading(_(title), (*_tables(desk.store.farm(), names), *_links(beside)))
        for (title, names), beside in zip(_GROUPS, _BESIDE, strict=True)
    ]
    return page(request, "rows_farm.html", headings=(*headings, Heading(_("Papers and the week"), _links(_PAPERS))))


@router.get("/farm/library")
def crop_library(request: Request, desk: PageDesk, q: str = "", part: PartAsked = 1) -> Response:
    """The kinds of the library with their figures, to take one from."""
    names = Names(desk.store.farm(), desk.today())
    own = {crop.library_kind for crop in names.crops.values()}
    wanted = q.casefold()
    lines = [
        Line(f"/farm/kinds/new?library={crop.key}", crop.name, tuple(filter(None, _figures(names, crop.key, own))))
        for crop in sorted(library().values(), key=lambda one: one.name.casefold())
        if wanted in f"{crop.name} {crop.botanical_name}".casefold()
    ]
    parts_at = address_of_parts("/farm/library", request.query_params)
    return page(request, "rows_library.html", part=part_of(lines, part, PART), parts_at=parts_at, q=q)


def _tables(farm: Farm, collections: Sequence[str]) -> tuple[Line, ...]:
    tables = [BY_COLLECTION[name] for name in collections]
    return tuple(Line(table.path, _(table.many), (_count(len(rows_shown(farm, table))),)) for table in tables)


def _count(rows: int) -> str:
    return f"{rows:,}" if rows else _("none yet")


def _links(links: Sequence[tuple[str, str]]) -> tuple[Line, ...]:
    return tuple(Line(path, _(words), ()) for words, path in links)


def _figures(names: Names, key: str, own: set[str | None]) -> Sequence[str]:
    crop = crop_for(Variety(key, key))
    return (
        names.word("varieties", "role", crop.role),
        _("{weeks} weeks to flower").format(weeks=f"{crop.weeks_to_flower:g}"),
        many("{count} stem a plant", "{count} stems a plant", round(crop.stems_per_plant)),
        _("you grow it") if key in own else "",
    )
