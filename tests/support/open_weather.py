"""Daily temperatures of six real places, for checks of the forecast against weather that really was.

The files beside the outside tests are cut from the data of the Python package aquacrop 3.1.0 (package index; licence
file Apache License 2.0, classifier MIT License): date, lowest and highest temperature rounded to a tenth of a degree,
rain and evaporation left out. The package does not say where its series of 1991 to 2021 come from; the latitudes are
those of the places they are named after, and Cordoba is the one in Argentina (its Januaries are warm).
"""

from __future__ import annotations

import csv
import gzip
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from haulm.forecast.inputs import DailySeries

DATA = Path(__file__).parents[1] / "outside" / "data"


@dataclass(frozen=True, slots=True)
class Place:
    """A place with a daily series: file name, name in words, latitude [deg, north positive]."""

    key: str
    name: str
    latitude_deg: float


PLACES = {
    place.key: place
    for place in (
        Place("brussels", "Brussels", 50.85),
        Place("cambridge", "Cambridge", 52.20),
        Place("north_yorkshire", "North Yorkshire", 54.2),
        Place("champion", "Champion, Nebraska", 40.47),
        Place("tunis", "Tunis", 36.80),
        Place("cordoba", "Cordoba (south)", -31.42),
    )
}


@cache
def series(key: str) -> DailySeries:
    """The daily series of a place."""
    with gzip.open(DATA / f"{key}.csv.gz", "rt", encoding="ascii", newline="") as file:
        rows = list(csv.DictReader(file))
    return DailySeries(
        np.array([row["date"] for row in rows], "datetime64[D]"),
        np.array([float(row["min_c"]) for row in rows]),
        np.array([float(row["max_c"]) for row in rows]),
    )


def without(daily: DailySeries, first: np.datetime64, last: np.datetime64) -> DailySeries:
    """The series with the days from first to last, both included, taken out."""
    kept = (daily.dates < first) | (daily.dates > last)
    return DailySeries(daily.dates[kept], daily.min_c[kept], daily.max_c[kept])


def stretch(daily: DailySeries, first: np.datetime64, days: int) -> tuple[npt.NDArray[np.float64], ...]:
    """Lowest and highest temperature of consecutive days, each shape (days,); all of them must be there."""
    at = int(np.searchsorted(daily.dates, first))
    part = slice(at, at + days)
    assert daily.dates[at] == first and daily.dates[at + days - 1] == first + days - 1, "a day is missing"
    return daily.min_c[part], daily.max_c[part]
