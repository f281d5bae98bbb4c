"""Published dates of first flowers in other places, and what the forecast says of each from the library's figures.

Nothing here is the grower's own: the same figures are carried to every climate. What is not known of a figure is added
as a log-normal spread of the need, since a farm's first year is forecast with it.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from math import hypot
from pathlib import Path

import numpy as np
import numpy.typing as npt

from haulm.crop_library.library import crop_for, library
from haulm.farm.varieties import Crop, Variety
from haulm.farm.words import BatchStatus, Form, Method
from haulm.forecast.doubt_sizes import usual_doubt
from haulm.forecast.first_stem import Growing, first_stem_days
from haulm.forecast.inputs import Climate, MonthlyNormals, Setting, Sowing
from haulm.forecast.own_draws import own_draws
from haulm.forecast.percentiles import quantiles
from haulm.forecast.plan import cycles
from haulm.forecast.season_draws import draw_seasons
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import Span, weather_years
from haulm.horticulture.frost import NEVER
from haulm.horticulture.time_to_flower import PACE_SHARED, PACE_SPREAD
from support.open_weather import series

DATA = Path(__file__).parents[1] / "outside" / "data"
TABLES = {"dates_across_places": "yes", "dates_elsewhere": "open"}
"""The tables of dates, and what their column `use` says of rows that may be looked at while constants are chosen."""

NORMALS = ("normals_of_places", "normals_across_places")
SERIES = {"england": "cambridge", "north_yorkshire": "north_yorkshire", "champion": "champion", "tunis": "tunis"}
SEASONS = 1000
STARTS = 5
_TRAYS = {"heated transplant": Method.HEATED, "cover": Method.COVER, "transplant (second sowing)": Method.COVER}


@dataclass(frozen=True, slots=True)
class Fact:
    """A published first flower; `first` and `last` are the ends of the stretch, moved to the first flower."""

    id: str
    cls: str
    kind: str
    place: str
    climate: str
    latitude_deg: float
    method: Method
    tunnel: bool
    start: date | None
    start_last: date | None
    first: date
    last: date

    @property
    def middle(self) -> date:
        """The middle of the stretch."""
        return self.first + (self.last - self.first) / 2


@dataclass(frozen=True, slots=True)
class Told:
    """What the forecast says of a fact; `median` is None where it says that no stems come in half of the seasons.

    Attributes:
        error: median less what was published, 0 inside the published stretch [d].
        from_middle: median less the middle of the stretch [d].
        inside: whether the 80 % interval touches the published stretch.
        width: of the interval [d].
        spring_c: mean temperature of April to June there (October to December in the south) [deg C].
    """

    fact: Fact
    low: date | None
    median: date | None
    high: date | None
    error: float
    from_middle: float
    inside: bool
    width: float
    spring_c: float


def facts(table: str, use: str, counts: str = "yes") -> list[Fact]:
    """The facts of a table with this use that count, of kinds in the library, one row each."""
    with (DATA / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["use"] == use and row.get("counts", "yes") == counts]
    return [_fact(row) for row in rows if row["kind"] in library()]


def open_facts() -> list[Fact]:
    """All facts that may be looked at while constants are chosen."""
    return [fact for table, use in TABLES.items() for fact in facts(table, use)]


@cache
def climate_of(name: str) -> Climate:
    """The climate of a place: monthly means, for England the daily series of Cambridge."""
    if name in SERIES:
        return Climate(daily=series(SERIES[name]))
    return Climate(normals=normals()[name])


@cache
def normals() -> dict[str, MonthlyNormals]:
    """Monthly means by climate."""
    found: dict[str, MonthlyNormals] = {}
    for table in NORMALS:
        with (DATA / f"{table}.csv").open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                if row["min_1"]:
                    low, high = (tuple(float(row[f"{end}_{m}"]) for m in range(1, 13)) for end in ("min", "max"))
                    found.setdefault(row["climate"], MonthlyNormals(low, high))
    return found


def told(fact: Fact, changed: Callable[[Crop], Crop] = lambda crop: crop) -> Told:
    """What the forecast says of a fact, asked on the day of the start; `changed` may alter the crop."""
    kind = library()[fact.kind]
    crop = changed(crop_for(Variety(kind.key, kind.name, botanical_name=kind.botanical_name)))
    days = np.concatenate([first_days(fact, crop, start) for start in _starts(fact)])
    never = date.max.toordinal()
    found = quantiles(np.minimum(days, never)[None, :], (0.1, 0.5, 0.9))[:, 0]
    low, median, high = (None if day > never - 1 else date.fromordinal(round(float(day))) for day in found)
    error = from_middle = np.inf
    if median is not None:
        early, late = (fact.first - median).days, (median - fact.last).days
        error = -early if early > 0 else max(0, late)
        from_middle = (median - fact.middle).days
    inside = low is not None and low <= fact.last and (high is None or high >= fact.first)
    width = (high - low).days if low is not None and high is not None else np.inf
    return Told(fact, low, median, high, error, from_middle, inside, width, spring_c(fact))


def first_days(fact: Fact, crop: Crop, start: date | None) -> npt.NDArray[np.int64]:
    """First-flower days as ordinals, with what is not known of the figure, shape (SEASONS,); never: date.max."""
    # A plant that stands is asked about on the first day of the growing year in which it flowered.
    south = fact.latitude_deg < 0
    year = fact.first.year - (south and fact.first.month < 7)
    today = start or date(year, 7 if south else 1, 1)
    seasons = seasons_of(fact.climate, fact.latitude_deg, today)
    batch = _batch(fact, crop, start)
    cycle = cycles(batch, seasons)[0]
    draws = own_draws(cycle.key, seasons.setting)
    need = usual_doubt(crop).need
    spread = hypot(need.kind_sd, need.variety_sd)
    unknown = np.random.default_rng(len(fact.id)).standard_normal(SEASONS)
    moved = (spread * unknown - spread**2 / 2) / (PACE_SPREAD * np.sqrt(1 - PACE_SHARED))
    first = first_stem_days(Growing(batch, cycle, seasons), replace(draws, z_pace=draws.z_pace + moved))
    return np.where(first >= NEVER, date.max.toordinal(), first + seasons.span.first.toordinal())


@cache
def seasons_of(climate: str, latitude_deg: float, today: date) -> Seasons:
    """Seasons at a place as seen on a day."""
    setting = Setting(latitude_deg, today, seasons=SEASONS, seed=5)
    span = Span.around(today, latitude_deg=latitude_deg)
    known = climate_of(climate)
    weather = weather_years(known, span, today=today, seed=5)
    assert weather is not None
    return draw_seasons(known, weather, span, setting)


def spring_c(fact: Fact) -> float:
    """Mean temperature of April to June, October to December in the south [deg C]."""
    known = normals().get(fact.climate, normals()["england"])
    months = (9, 10, 11) if fact.latitude_deg < 0 else (3, 4, 5)
    return float(np.mean([(known.min_c[month] + known.max_c[month]) / 2 for month in months]))


def slope(found: Iterable[Told]) -> float:
    """How the error grows with the warmth of the place [d per deg C]."""
    here = [item for item in found if np.isfinite(item.from_middle)]
    warm, error = np.array([item.spring_c for item in here]), np.array([item.from_middle for item in here])
    return float(np.polyfit(warm, error, 1)[0]) if len(here) > 2 else float("nan")


def _starts(fact: Fact) -> list[date | None]:
    if fact.start is None:
        return [None]
    last = fact.start_last or fact.start
    return sorted({fact.start + (last - fact.start) * step // (STARTS - 1) for step in range(STARTS)})


def _batch(fact: Fact, crop: Crop, start: date | None) -> Sowing:
    planted = fact.method is Method.PLUGS
    stands = fact.method in (Method.PLUGS, Method.ESTABLISHED, Method.TUBER)
    return Sowing(
        key=fact.id,
        variety=fact.kind,
        crop=crop,
        method=fact.method,
        form=Form.FRESH,
        status=BatchStatus.PLANTED if stands else BatchStatus.SOWN,
        sow_date=None if planted else start,
        sown=100,
        plants=80,
        plant_out_date=start if planted else None,
        tunnel=fact.tunnel,
    )


def _fact(row: dict[str, str]) -> Fact:
    later = timedelta(days=int(row["to_first_days"]))
    stands = row["start"] == "established"
    return Fact(
        id=row["id"],
        cls=row["cls"],
        kind=row["kind"],
        place=row["place"],
        climate=row["climate"],
        latitude_deg=float(row["latitude"]),
        method=_method(row["method"]),
        tunnel=row["tunnel"] == "1",
        start=None if stands else date.fromisoformat(row["start"]),
        start_last=date.fromisoformat(row["start_last"]) if row["start_last"] else None,
        first=date.fromisoformat(row["first"]) + later,
        last=date.fromisoformat(row["last"]) + later,
    )


def _method(words: str) -> Method:
    if words in _TRAYS:
        return _TRAYS[words]
    first = words.split()[0].strip(",")
    return {
        "established": Method.ESTABLISHED,
        "bulb": Method.TUBER,
        "tuber": Method.TUBER,
        "plugs": Method.PLUGS,
        "direct": Method.DIRECT,
        "heated": Method.HEATED,
        "transplant": Method.COVER,
    }[first]
