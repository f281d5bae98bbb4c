"""Farms of our own in their first year, and what they may promise of it: each promise by the real match.

Invented. A farm grows sixteen cultivars, several of a kind, in two or three sowings, and asks in March (September in
the south) what it may promise at a level: per product up to three deliveries in the weeks that give most, one after
the other in a drawn order, each the most that `may_promise_line` lets it have.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta
from functools import lru_cache
from typing import Any
from unittest.mock import patch

import numpy as np

from haulm.advice.floors import Floors, Kept
from haulm.crop_library.library import crop_for
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.edits import with_rows
from haulm.farm.orders import Customer, Order, OrderLine
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm.words import BatchStatus, Method, OrderKind, OrderStatus, Weekday
from haulm.forecast.doubt import EXACT
from haulm.matching.reading.free_to_promise import free_table
from haulm.planning import growth
from haulm.planning.growth import Drawing
from haulm.planning.may_promise import LineAsked, may_promise_line
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from support.true_seasons import Ground
from support.true_weather import LANDS, Land, last_frost, told

LEVELS = (0.8, 0.65, 0.6, 0.5)
FORECAST_SEASONS = 500
DELIVERIES, APART_DAYS, FEWEST, MOST = 3, 14, 5, 5000
_CULTIVARS, _PLANTS = 16, 120
_DUE, _DUE_WEEKS = Weekday.FRI, 34
_LOOKED_AT = 0.5


@dataclass(frozen=True, slots=True)
class _Grown:
    """How a kind is grown: its cultivars, the method, and days from the last frost of spring to each sowing."""

    cultivars: tuple[str, ...]
    method: Method
    sowings: tuple[int, ...]


_KINDS: Mapping[str, _Grown] = {
    "cornflower": _Grown(("blue", "black", "pink"), Method.DIRECT, (-25, 0, 25)),
    "larkspur": _Grown(("white", "lilac"), Method.DIRECT, (-30, -10)),
    "nigella": _Grown(("white", "blue"), Method.DIRECT, (-25, 0, 20)),
    "calendula": _Grown(("apricot", "orange"), Method.DIRECT, (-20, 15)),
    "snapdragon": _Grown(("pink", "white", "yellow"), Method.HEATED, (-55, -30)),
    "scabiosa": _Grown(("maroon", "white"), Method.HEATED, (-40, -15)),
    "statice": _Grown(("blue", "apricot"), Method.HEATED, (-40, -15)),
    "strawflower": _Grown(("salmon", "silver", "red"), Method.HEATED, (-30, 0)),
    "cosmos": _Grown(("white", "shell", "red"), Method.HEATED, (-20, 10, 35)),
    "sunflower_single": _Grown(("gold", "lemon"), Method.DIRECT, (10, 30, 50)),
    "zinnia": _Grown(("lime", "coral", "white", "wine"), Method.HEATED, (-15, 15, 35)),
    "dahlia": _Grown(("peach", "plum", "cream"), Method.TUBER, (5,)),
    "gladiolus": _Grown(("green", "rose"), Method.TUBER, (0, 21, 42)),
    "tulip": _Grown(("orange", "purple"), Method.TUBER, ()),
    "peony": _Grown(("white", "blush"), Method.ESTABLISHED, ()),
    "achillea": _Grown(("pink", "yellow"), Method.ESTABLISHED, ()),
}
_COLD_NEEDING = ("tulip", "peony", "achillea")
_WARM_WINTERS = ("cordoba",)


@dataclass(frozen=True, eq=False)
class FirstYear:
    """A farm, the ground the truth sees it by, and the day it is asked on."""

    farm: Farm
    ground: Ground
    today: date
    seed: int


@dataclass(frozen=True, eq=False)
class Promised:
    """What was promised at a level: the plan with all of it, and each promised line's place in its match."""

    level: float
    plan: Plan
    places: tuple[int, ...]

    @property
    def stems(self) -> int:
        """Stems promised in all."""
        return sum(self.plan.result.lines[place].stems for place in self.places)

    @property
    def doubts(self) -> bool:
        """Whether the forecast holds anything to be unknown of figures, seasons or lots."""
        forecast = self.plan.growth.forecast
        assert forecast is not None, "a farm of our own has a forecast"
        is_unsure = forecast.setting.bad_share > 0 or forecast.setting.dead_lot_share > 0
        return is_unsure or any(sowing.doubt != EXACT for sowing in forecast.sowings)

    @property
    def said(self) -> list[float]:
        """How sure each line is with all promises made, 0-1."""
        return [self.plan.outlooks[place].confidence for place in self.places]


def first_year(land: Land, number: int) -> FirstYear:
    """One of the farms of a climate."""
    seed = 100 * (1 + list(LANDS).index(land.key)) + number
    dice = np.random.default_rng([seed, 1])
    grown = [kind for kind in _KINDS if kind not in _COLD_NEEDING or land.key not in _WARM_WINTERS]
    names = [f"{kind}-{name}" for kind in grown for name in _KINDS[kind].cultivars]
    chosen = sorted(dice.choice(names, _CULTIVARS, replace=False).tolist())
    varieties = tuple(_variety(name) for name in chosen)
    crops = {variety.key: crop_for(variety) for variety in varieties}
    kinds = {name: name.partition("-")[0] for name in chosen}
    today = date(2026, 9, 1) if land.south else date(2027, 3, 1)
    batches = tuple(batch for variety in varieties for batch in _batches(land, variety.key, kinds[variety.key], today))
    known = told(land, number)
    site = Site(f"A farm near {land.key}", land.latitude_deg, temperatures=known.normals, frost=known.frost)
    farm = Farm(
        site,
        varieties=varieties,
        beds=(Bed("field", "Field", metres=1000.0),),
        batches=batches,
        temperatures=known.rows,
        customers=(Customer("florist", "Florist"),),
    )
    return FirstYear(farm, Ground(land, number, batches, crops, kinds), today, seed)


def promised(year: FirstYear, level: float, *, doubt: bool, seasons: int = FORECAST_SEASONS) -> Promised:
    """All that the farm may promise at a level, as it is served, or with all figures taken as exact."""
    planner, plan, asks = _asked(year, doubt, seasons)
    floors = Floors()
    for number, (product, due) in enumerate(asks):
        asked = _ask(product, due, number, level, year.today)
        with _doubt(doubt):
            found = may_promise_line(planner, plan, asked, floors)
            if found.verdict is None or found.stems < FEWEST:
                continue
            plan = planner.trial(plan, with_rows(plan.farm, asked.rows(found.stems)))
        kept = {**floors.kept, **found.verdict.kept, **{sure.what: Kept() for sure in found.verdict.promised}}
        floors = Floors(kept)
    return Promised(level, plan, tuple(range(len(plan.result.lines))))


@lru_cache(maxsize=1)
def _asked(year: FirstYear, doubt: bool, seasons: int) -> tuple[Planner, Plan, tuple[tuple[Product, date], ...]]:
    """The farm before any promise, one forecast for all its levels, and what will be asked of it, in its order."""
    planner = Planner(Drawing(seasons, year.seed))
    with _doubt(doubt):
        plan = planner.plan(year.farm, year.today)
    asks = list(_best_weeks(plan, year.today))
    order = np.random.default_rng([year.seed, 2]).permutation(len(asks))
    return planner, plan, tuple(asks[at] for at in order)


@contextmanager
def _doubt(is_on: bool) -> Iterator[None]:
    """The forecast as planning asks for it, or with nothing taken to be unknown of figures, seasons and lots."""
    drawn = growth.forecast

    def exact(sowings: Any, climate: Any, setting: Any) -> Any:
        certain = [replace(sowing, doubt=EXACT) for sowing in sowings]
        return drawn(certain, climate, replace(setting, bad_share=0.0, dead_lot_share=0.0))

    if is_on:
        yield
    else:
        with patch.object(growth, "forecast", exact):
            yield


def _best_weeks(plan: Plan, today: date) -> Iterator[tuple[Product, date]]:
    """Per product the weeks in which most is free at even odds, some time apart."""
    first = today + timedelta(days=(_DUE.iso - today.isoweekday()) % 7)
    dues = [first + timedelta(days=7 * week) for week in range(_DUE_WEEKS)]
    products = sorted({batch.product for batch in plan.farm.batches})
    free = free_table(plan.result, products, dues, _LOOKED_AT)
    for product, stems in zip(products, free, strict=True):
        taken: list[int] = []
        for at in np.argsort(-stems, kind="stable").tolist():
            if stems[at] > 0 and len(taken) < DELIVERIES and all(abs(at - one) * 7 >= APART_DAYS for one in taken):
                taken.append(at)
        yield from ((product, dues[at]) for at in sorted(taken))


def _ask(product: Product, due: date, number: int, level: float, today: date) -> LineAsked:
    key = f"o{number:03d}"
    order = Order(key, "florist", OrderKind.ONE_OFF, due, committed_on=today, status=OrderStatus.CONTRACTED)
    return LineAsked(order, OrderLine(f"{key}-1", key, 1, product), level, MOST)


def _variety(name: str) -> Variety:
    kind, _, colour = name.partition("-")
    more = {"kind": kind} if "kind" in {field.name for field in fields(Variety)} else {}
    return Variety(name, f"{kind.replace('_', ' ').capitalize()}, {colour}", **more)


def _batches(land: Land, variety: str, kind: str, today: date) -> Iterator[Batch]:
    how = _KINDS[kind]
    if how.method is Method.ESTABLISHED:
        yield Batch(variety, variety, method=how.method, plants=_PLANTS, status=BatchStatus.PLANTED, bed="field")
        return
    if kind == "tulip":
        autumn = date(today.year - 1, 11, 5)
        yield Batch(variety, variety, autumn, how.method, plants=3 * _PLANTS, status=BatchStatus.PLANTED, bed="field")
        return
    spring = last_frost(land)
    for number, after in enumerate(how.sowings, 1):
        sown = max(land.day(spring + after), today + timedelta(days=3 + 7 * number))
        batch = Batch(f"{variety}-{number}", variety, sown, how.method, plants=_PLANTS, bed="field")
        if how.method is Method.HEATED:
            weeks = crop_for(Variety(variety, variety)).weeks_to_plant_out
            out = max(sown + timedelta(days=round(7 * weeks)), land.day(spring + 12))
            batch = replace(batch, plant_out_date=out)
        yield batch
