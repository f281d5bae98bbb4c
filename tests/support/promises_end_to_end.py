"""Promises end to end: sow, forecast, promise by the real match, harvest of a hidden truth, kept or not.

What is grown and promised is `first_year_farms`, what comes is `true_seasons`. The stems that came are given out by the
same match that promised them, with the season known.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from haulm.farm.products import Product
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.supply import Block, Pool, Supply, packed, standing_lots
from support.first_year_farms import FORECAST_SEASONS, LEVELS, FirstYear, Promised, first_year, promised
from support.true_development import CALENDAR, DAYLIGHT
from support.true_seasons import Sizes, Truth, harvests
from support.true_weather import LANDS

WORST = 0.05
_EXACT = Truth()
_REAL = Truth(off=Sizes(None, None), bad_share=0.15, dead_share=0.05)
"""What a first year is taken to be: the usual sizes of every kind, bad seasons and dead lots."""

_OTHERWISE: Mapping[str, dict[str, Any]] = {
    "own assumptions": {},
    "daylight": {"driver": DAYLIGHT},
    "calendar": {"driver": CALENDAR},
    "mixed": {"driver": "mixed"},
    "more shared noise": {"shared": 2.0},
}
_ALONE: Mapping[str, Truth] = {
    "figures exact": _EXACT,
    "weeks off": Truth(off=Sizes(weeks=0.10)),
    "stems off": Truth(off=Sizes(stems=0.50)),
    "weeks and stems off": Truth(off=Sizes(0.10, 0.50)),
    "bad seasons": Truth(bad_share=0.15),
    "dead lots": Truth(dead_share=0.05),
    "all of it": Truth("mixed", Sizes(None, None), bad_share=0.15, dead_share=0.05),
    "harsher": Truth("mixed", Sizes(0.15, 0.70), bad_share=0.25, bad_factor=0.4, dead_share=0.10),
}
ROWS = (*_OTHERWISE, *_ALONE)


@dataclass(frozen=True, eq=False)
class Lived:
    """What became of a farm's promises at one level in some true seasons.

    Attributes:
        kept: whether each line got all it was promised, shape (lines, seasons).
        days_kept: whether all lines of each due day did, shape (due days, seasons).
        days_said: how sure that was said to be, shape (due days,).
        worst: whether the season did no better than the worst twentieth that was named, shape (seasons,).
        stems: promised in all.
        said: how sure the lines were said to be, on average.
    """

    kept: npt.NDArray[np.bool_]
    days_kept: npt.NDArray[np.bool_]
    days_said: npt.NDArray[np.float64]
    worst: npt.NDArray[np.bool_]
    stems: int
    said: float


FarmLived = Mapping[tuple[str, float], Lived]
"""By row and level."""


@dataclass(frozen=True, slots=True)
class Job:
    """A farm to live through, by climate and number; `doubt`: with what the farm takes to be unknown, or without."""

    land: str
    number: int
    doubt: bool
    true_seasons: int
    forecast_seasons: int = FORECAST_SEASONS
    rows: tuple[str, ...] = ROWS
    seed: int = 1
    levels: tuple[float, ...] = LEVELS


@dataclass(frozen=True, slots=True)
class Figure:
    """A share with its standard error over farms."""

    share: float
    error: float


def truth_of(row: str, *, doubt: bool) -> Truth:
    """The truth of a row; the first rows start from what the forecast itself holds, the others from exact figures.

    `doubt`: whether the forecast holds anything to be unknown.
    """
    if row in _ALONE:
        return _ALONE[row]
    return replace(_REAL if doubt else _EXACT, **_OTHERWISE[row])


def lived_through(job: Job) -> FarmLived:
    """One farm's promises at every level, in the true seasons of every row."""
    year = first_year(LANDS[job.land], job.number)
    at_levels = [promised(year, level, doubt=job.doubt, seasons=job.forecast_seasons) for level in job.levels]
    came: dict[Truth, dict[Product, npt.NDArray[np.int64]]] = {}
    found: dict[tuple[str, float], Lived] = {}
    for row in job.rows:
        truth = truth_of(row, doubt=at_levels[0].doubts)
        if truth not in came:
            came[truth] = harvests(year.ground, truth, job.true_seasons, 1000 * job.seed + year.seed)
        for promise in at_levels:
            found[row, promise.level] = _lived(year, promise, came[truth])
    return found


def _lived(year: FirstYear, promise: Promised, came: Mapping[Product, npt.NDArray[np.int64]]) -> Lived:
    said = promise.plan.result
    first = year.ground.land.first
    pools = tuple(
        Pool(product, 0, (Block(standing_lots(first, len(stems)), packed(stems.astype(np.int32))),))
        for product, stems in sorted(came.items())
    )
    seasons = next(iter(came.values())).shape[1]
    true = match(said.lines, Supply(pools, seasons, np.full(seasons, 1 / seasons)), said.keeping)
    kept, forecast_kept = _filled(true), _filled(said)
    dues = sorted({line.due for line in said.lines})
    of_day = [[place for place, line in enumerate(said.lines) if line.due == due] for due in dues]
    weights = said.supply.weights
    return Lived(
        kept=kept,
        days_kept=np.array([kept[places].all(axis=0) for places in of_day]),
        days_said=np.array([float(weights[forecast_kept[places].all(axis=0)].sum()) for places in of_day]),
        worst=_delivered(true) <= worst_twentieth(_delivered(said), weights),
        stems=promise.stems,
        said=float(np.mean(promise.said)),
    )


def worst_twentieth(stems: npt.NDArray[np.int64], weights: npt.NDArray[np.float64]) -> int:
    """The most stems delivered in all that the worst 5 % of the forecast's seasons do not exceed."""
    order = np.argsort(stems, kind="stable")
    inside = np.cumsum(weights[order]) <= WORST + 1e-9
    return int(stems[order][inside][-1]) if inside.any() else -1


def _filled(result: MatchResult) -> npt.NDArray[np.bool_]:
    """Whether each line gets all it asks, shape (lines, seasons)."""
    seasons = result.supply.seasons
    return np.array([np.broadcast_to(result.filled(at) == line.stems, seasons) for at, line in enumerate(result.lines)])


def _delivered(result: MatchResult) -> npt.NDArray[np.int64]:
    """Stems that all lines get together, shape (seasons,)."""
    total = np.zeros(result.supply.seasons, np.int64)
    for place in range(len(result.lines)):
        total += result.filled(place)
    return total


def kept_share(farms: Iterable[Lived]) -> Figure:
    """The share of promises kept, every farm counting alike."""
    return _figure(float(one.kept.mean()) for one in farms)


def worst_share(farms: Iterable[Lived]) -> Figure:
    """The share of seasons that did no better than the worst twentieth that was named."""
    return _figure(float(one.worst.mean()) for one in farms)


def day_shares(farms: Iterable[Lived]) -> tuple[Figure, Figure]:
    """How often all lines of a due day were said to be kept together, and were."""
    known = list(farms)
    said, kept = [one.days_said.mean() for one in known], [one.days_kept.mean() for one in known]
    return _figure(said), _figure(kept)


def _figure(shares: Iterable[float]) -> Figure:
    found = np.array(list(shares))
    return Figure(float(found.mean()), float(found.std(ddof=1) / np.sqrt(len(found))) if len(found) > 1 else 0.0)
