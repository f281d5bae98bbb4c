"""What the first cut of a past year says of a kind's need: how far off it must be for the forecast to name that day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from haulm.evidence.climate import climate_of
from haulm.evidence.how_grown import method_of
from haulm.farm.past_years import PastYear
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, Method
from haulm.forecast.doubt import Doubt, FigureDoubt
from haulm.forecast.inputs import ClimateMissing, Setting, Sowing
from haulm.forecast.percentiles import quantiles
from haulm.forecast.supply import Forecast, forecast
from haulm.kept import Kept

_SEASONS = 100
_SEED = 1
_TRIED = (-0.6, -0.3, 0.0, 0.3, 0.6)
"""Logarithms of the need at which the forecast's day is asked for; between them it lies on a line."""


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """Where and in what weather a farm lies; only ever equal where both are the very same rows."""

    farm: Farm

    def __eq__(self, other: object) -> bool:
        """Whether it is the same place in the same weather."""
        if not isinstance(other, _Place):
            return False
        return self.farm.site is other.farm.site and self.farm.temperatures is other.farm.temperatures

    def __hash__(self) -> int:
        """By the number of days alone: what is equal has as many."""
        return len(self.farm.temperatures)


_KEPT: Kept[tuple[Any, ...], tuple[float | None]] = Kept(1024)
_YEARS: Kept[tuple[_Place, date], Forecast] = Kept(16)


def need_off(farm: Farm, row: PastYear, crop: Crop) -> float | None:
    """How far off the need of a kind must be for its first cut to come when it came.

    Args:
        farm: for its place and weather; nothing of its plan is looked at.
        row: a past year with its first cut.
        crop: the crop whose need it is held against.

    Returns:
        The logarithm of the factor, within 0.6 either way; None where no factor gives that day.
    """
    key = (row, crop.key, crop.weeks_to_flower, crop.weeks_to_plant_out, crop.life_cycle, _Place(farm))
    (found,) = _KEPT.of(key, lambda: (_need_off(farm, row, crop),))
    return found


def _need_off(farm: Farm, row: PastYear, crop: Crop) -> float | None:
    assert row.first_cut is not None, "a row that is held against the forecast has a first cut"
    sowing = _sowing(farm, row, crop)
    half = date(row.year, 6, 30) if row.first_cut.month <= 6 else date(row.year, 12, 31)
    try:
        year = _YEARS.of((_Place(farm), half), lambda: _year(farm, sowing, half))
    except ClimateMissing:
        return None
    days = [_first_day(year.with_sowings([_with_need(sowing, off)]), row.first_cut) for off in _TRIED]
    known = [(day, off) for day, off in zip(days, _TRIED, strict=True) if day is not None]
    if len(known) < 2 or not known[0][0] <= 0 <= known[-1][0]:
        return None
    return float(np.interp(0.0, [day for day, _ in known], [off for _, off in known]))


def _year(farm: Farm, sowing: Sowing, last_day: date) -> Forecast:
    """The seasons of a year as they may have been, its own weather as far as it was measured; any sowing will do."""
    return forecast([sowing], climate_of(farm), Setting(farm.site.latitude, last_day, seasons=_SEASONS, seed=_SEED))


def _first_day(made: Forecast, first_cut: date) -> float | None:
    """Days from a day to the middle first stem of the growing that is nearest to it; None where none comes."""
    if made.seasons is None:
        return None
    span, found = made.seasons.span, []
    for latent in made.latents:
        day = float(quantiles(latent.first_day.astype(np.float64)[None, :], (0.5,))[0, 0])
        if 0 <= day < span.days:
            found.append(day - span.index(first_cut))
    return min(found, key=abs, default=None)


def _sowing(farm: Farm, row: PastYear, crop: Crop) -> Sowing:
    """The row's sowing, by the method and in the place it was grown; in trays it stood its usual weeks."""
    method, planted = method_of(farm.site, row, crop), None
    if method in (Method.HEATED, Method.COVER) and row.sow_date is not None:
        planted = row.sow_date + timedelta(weeks=crop.weeks_to_plant_out)
    return Sowing(
        key=f"past year {row.key}",
        variety=crop.key,
        crop=crop,
        method=method,
        form=Form.FRESH,
        status=BatchStatus.PLANTED,
        sow_date=row.sow_date,
        sown=None,
        plants=row.plants or 1,
        plant_out_date=planted,
        tunnel=row.tunnel,
    )


def _with_need(sowing: Sowing, off: float) -> Sowing:
    return replace(sowing, doubt=Doubt(need=FigureDoubt(shift=off)))
