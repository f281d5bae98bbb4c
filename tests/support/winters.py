"""Winters to try sowings in: places by their monthly means, and how much of an autumn sowing lives there."""

from __future__ import annotations

import csv
from datetime import date
from functools import cache

import numpy as np
import numpy.typing as npt

from haulm.crop_library.library import crop_for
from haulm.farm.varieties import Variety
from haulm.farm.words import BatchStatus, Form, Method, WinterCover
from haulm.forecast.first_stem import Growing
from haulm.forecast.inputs import Climate, MonthlyNormals, Setting, Sowing
from haulm.forecast.latent import latents
from haulm.forecast.overwintering import share_alive
from haulm.forecast.plan import cycles
from haulm.forecast.seasons import Seasons
from haulm.forecast.supply import forecast
from haulm.horticulture.winter import Shelter
from support.open_weather import DATA, PLACES, series

DES_MOINES = MonthlyNormals(
    (-11, -8, -3, 4, 11, 16, 19, 18, 12, 5, -1, -8), (-1, 2, 9, 17, 22, 28, 30, 28, 24, 17, 8, 1)
)
"""Monthly means of Des Moines, Iowa [deg C], from memory, to about a degree."""

SOWN = date(2026, 9, 20)
SEASONS = 400

BARE = Shelter()
IN_TUNNEL = Shelter(tunnel=True)


@cache
def place(key: str) -> tuple[float, Climate]:
    """The latitude and climate of a place: its daily series, else the monthly means beside it."""
    if key == "des_moines":
        return 41.6, Climate(normals=DES_MOINES)
    if key in PLACES:
        return PLACES[key].latitude_deg, Climate(daily=series(key))
    with (DATA / "normals_of_places.csv").open(encoding="utf-8") as file:
        row = next(row for row in csv.DictReader(file) if row["climate"] == key)
    low, high = (tuple(float(row[f"{end}_{month}"]) for month in range(1, 13)) for end in ("min", "max"))
    return float(row["latitude"]), Climate(normals=MonthlyNormals(low, high))


@cache
def seasons_of(key: str, *, today: date = date(2026, 9, 1)) -> Seasons:
    """The seasons of a place without any batch."""
    latitude, climate = place(key)
    found = forecast([sown("larkspur")], climate, Setting(latitude, today, seasons=SEASONS)).seasons
    assert found is not None
    return found


def sown(kind: str, shelter: Shelter = BARE, *, on: date | None = SOWN, **changes: object) -> Sowing:
    """A kind of the library drilled on 20 September where it stays, 120 plants wanted."""
    values: dict[str, object] = {
        "key": "autumn",
        "variety": kind,
        "crop": crop_for(Variety(key=kind, name=kind)),
        "method": Method.DIRECT,
        "form": Form.FRESH,
        "status": BatchStatus.PLANNED,
        "sow_date": on,
        "sown": 200,
        "plants": 120,
        "tunnel": shelter.tunnel,
        "winter_cover": shelter.cover,
    }
    return Sowing(**{**values, **changes})  # type: ignore[arg-type]


def alive(sowing: Sowing, seasons: Seasons) -> npt.NDArray[np.float64]:
    """The share of the plants of a batch's last growing that live, season by season, shape (seasons,)."""
    cycle, latent = cycles(sowing, seasons)[-1], latents(sowing, seasons)[-1]
    found = share_alive(Growing(sowing, cycle, seasons), seasons.years_of(latent.first_day.astype(np.int64)))
    return np.broadcast_to(found, (len(seasons.weather_row),))


def mean_alive(kind: str, where: str, shelter: Shelter = BARE) -> float:
    """The mean share of an autumn sowing that lives at a place."""
    return float(alive(sown(kind, shelter), seasons_of(where)).mean())


def covered(cover: WinterCover, *, tunnel: bool = False) -> Shelter:
    """A winter cover, in the open unless said."""
    return Shelter(tunnel, cover)
