"""The farm's own figures: what its finished seasons say of each variety, beside what stood there before.

Nothing is written here: the grower accepts a figure, or refuses it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import exp, log

import numpy as np

from haulm.evidence.climate import climate_of
from haulm.evidence.how_grown import method_of
from haulm.evidence.past_years import THROUGH, figure_of, told_of
from haulm.evidence.seen import Seen, seen
from haulm.farm.batches import Batch
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop, Variety
from haulm.farm.words import BatchStatus, Form, LifeCycle, Method
from haulm.forecast.doubt import EXACT
from haulm.forecast.inputs import ClimateMissing, Evidence, Setting, Sowing
from haulm.forecast.latent import CUTTING_LOSS, MARKETABLE
from haulm.forecast.learning import PACKET_SPREAD, Figure, Learned, Prior, SeasonSeen, learned
from haulm.forecast.percentiles import quantiles
from haulm.forecast.plan import HALF_A_YEAR_DAYS
from haulm.forecast.supply import Forecast, forecast
from haulm.horticulture.time_to_flower import REFERENCE_MONTH_DAY
from haulm.planning.growth import sowing_of

_SEASONS = 200
_SEED = 1
_ROUNDS = 3
_FARM = "farm"
_YEAR_DAYS = 365
_LEAST_WEEKS, _MOST_WEEKS = 4.0, 60.0


@dataclass(frozen=True, slots=True)
class OwnFigure:
    """A variety's figure as the farm's own seasons have it, over all methods and by method.

    `in_use` is the figure that holds now, as it is on this farm's own ground.
    """

    variety: str
    in_use: float
    figure: Figure
    learned: Learned
    by_method: Mapping[Method, Learned]


@dataclass(frozen=True, slots=True)
class _Sight:
    """What one batch showed: a count over a count (stems, places up) or a value, and whether it is a lower bound."""

    variety: str
    figure: Figure
    method: Method
    season: str
    value: float
    weight: float
    at_least: bool = False


def own_figures(
    farm: Farm,
    crops: Mapping[str, Crop],
    today: date,
    priors: Mapping[tuple[str, Figure], float] | None = None,
) -> tuple[OwnFigure, ...]:
    """What the finished batches of the farm say, and what was entered of past years.

    Args:
        farm: the farm.
        crops: every variety with its defaults filled in.
        today: the day it is looked at.
        priors: figures as they stood before the farm's own seasons were taken over; else those of the crops.

    Returns:
        One for each variety and figure that a finished batch or a past year speaks of; a season that a figure holds
        already counts again only where it is known what stood before. Stems count in full only where somebody said
        what was left; cut alone is a lower bound. Weeks are those that would have made the forecast's median, in the
        temperatures measured, the day of the first cut.
    """
    found = seen(farm, crops)
    sights: list[_Sight] = []
    for batch in found.batches:
        evidence = found.evidence[batch.key]
        if _is_over(batch, evidence, today) and batch.variety in crops:
            sights += _sights(farm, batch, crops[batch.variety], found)
    sights += _told(farm, crops)
    held = {row.key: row for row in farm.varieties}
    sights = [sight for sight in sights if not _is_held(sight, held[sight.variety], priors or {})]
    figures: list[OwnFigure] = []
    for variety, figure in sorted({(sight.variety, sight.figure) for sight in sights}):
        mine = [sight for sight in sights if (sight.variety, sight.figure) == (variety, figure)]
        in_use = _figure_here(farm, crops[variety], figure, today)
        before = (priors or {}).get((variety, figure))
        prior = _prior(crops[variety], figure, in_use if before is None else before)
        methods = sorted({sight.method for sight in mine})
        by_method = {method: _learned(prior, (one for one in mine if one.method is method)) for method in methods}
        figures.append(OwnFigure(variety, in_use, figure, _learned(prior, mine), by_method))
    return tuple(figures)


def _figure_here(farm: Farm, crop: Crop, figure: Figure, today: date) -> float:
    """A crop's figure as it is here: weeks stated for another place are those that their need takes on this farm."""
    if figure is not Figure.WEEKS or crop.stated_for is None:
        return figure_of(crop, figure)
    waits = crop.cold is not None
    counted = crop.counted_from if waits or crop.life_cycle is LifeCycle.BULB_TUBER else None
    start = date(today.year, *(counted or REFERENCE_MONTH_DAY))
    if farm.site.latitude < 0:
        start += timedelta(days=HALF_A_YEAR_DAYS)
    method = Method.DIRECT if counted is None else Method.TUBER
    sown = Sowing(
        *("weeks", crop.key, crop, Method.ESTABLISHED if waits else method, Form.FRESH, BatchStatus.PLANTED),
        None if waits else start,
        sown=None,
        plants=1,
    )
    setting = Setting(farm.site.latitude, start, seasons=_SEASONS, seed=_SEED)
    try:
        days = _median_days(forecast([sown], climate_of(farm), setting), start)
    except ClimateMissing:
        days = None
    if days is None or days > _MOST_WEEKS * 7:
        return crop.weeks_to_flower
    # A stem of this spring counts from the day in the year before.
    return (days + (_YEAR_DAYS if days <= 0 else 0)) / 7


def _prior(crop: Crop, figure: Figure, value: float) -> Prior:
    """Stems from a packet or a book may lie far off; the farm's own word less."""
    name = "germination_share" if figure is Figure.GERMINATION else str(figure)
    books = figure is Figure.STEMS and crop.origin.get(name) != _FARM
    return Prior(figure, value, PACKET_SPREAD if books else 0.0)


def _is_over(batch: Batch, evidence: Evidence, today: date) -> bool:
    if batch.status is BatchStatus.FINISHED or evidence.finished_on is not None:
        return True
    return evidence.first_cut is not None and (today - evidence.first_cut).days > 365


def _sights(farm: Farm, batch: Batch, crop: Crop, found: Seen) -> Iterable[_Sight]:
    evidence = found.evidence[batch.key]
    season = str((evidence.first_cut or evidence.finished_on or batch.sow_date or date.min).year)
    if evidence.germinated_final is not None and batch.sown:
        share = min(100.0, 100 * evidence.germinated_final / batch.sown)
        yield _Sight(batch.variety, Figure.GERMINATION, batch.method, season, share, 1.0)
    plants = evidence.plants_alive if evidence.plants_alive is not None else batch.plants
    stems = evidence.cut_so_far + (evidence.left or 0)
    if plants and stems and evidence.lost_on is None:
        ended_by_frost = any(frost >= (evidence.cut_until or frost) for frost in found.frosts)
        bound = evidence.left is None or ended_by_frost
        grown = stems / (MARKETABLE * (1 - CUTTING_LOSS))
        yield _Sight(batch.variety, Figure.STEMS, batch.method, season, grown / plants, float(plants), bound)
    if evidence.first_cut is not None and batch.method is not Method.ESTABLISHED:
        weeks = _weeks_seen(farm, sowing_of(farm, batch, crop), evidence.first_cut)
        if weeks is not None:
            yield _Sight(batch.variety, Figure.WEEKS, batch.method, season, weeks, 1.0)


def _told(farm: Farm, crops: Mapping[str, Crop]) -> Iterable[_Sight]:
    """Past years as they were entered, where the records do not speak of the same season."""
    for figure in THROUGH:
        for told in told_of(farm, figure):
            row = told.row
            if told.why_not is None and row.variety is not None and row.variety in crops:
                method = method_of(farm.site, row, crops[row.variety])
                value = told.before * exp(told.log_ratio)
                yield _Sight(row.variety, figure, method, str(row.year), value, float(row.plants or 1))


def _is_held(sight: _Sight, row: Variety, priors: Mapping[tuple[str, Figure], float]) -> bool:
    """Whether the figure in use holds a season already, and nobody knows what stood before it."""
    through = getattr(row, THROUGH[sight.figure]) if sight.figure in THROUGH else None
    return through is not None and int(sight.season) <= through and (sight.variety, sight.figure) not in priors


def _learned(prior: Prior, sights: Iterable[_Sight]) -> Learned:
    by_season: dict[str, list[_Sight]] = {}
    for sight in sights:
        by_season.setdefault(sight.season, []).append(sight)
    return learned(prior, [_season(name, mine) for name, mine in sorted(by_season.items())])


def _season(name: str, sights: list[_Sight]) -> SeasonSeen:
    """One season: its measured batches, or where there are none its lower bounds."""
    measured = [sight for sight in sights if not sight.at_least]
    used = measured or sights
    weight = sum(sight.weight for sight in used)
    if used[0].figure is Figure.WEEKS:
        value = exp(sum(sight.weight * log(sight.value) for sight in used) / weight)
    else:
        value = sum(sight.weight * sight.value for sight in used) / weight
    return SeasonSeen(name, value, len(used), at_least=not measured)


def _weeks_seen(farm: Farm, sowing: Sowing, first_cut: date) -> float | None:
    """The weeks to flower that make the forecast's median the day of the first cut; None where none do."""
    start = sowing.plant_out_date if sowing.method is Method.PLUGS else sowing.sow_date
    if start is None or start >= first_cut:
        return None
    own = replace(sowing.crop, stated_for=None)
    grown = replace(sowing, crop=own, status=BatchStatus.PLANTED, evidence=Evidence(), doubt=EXACT)
    setting = Setting(farm.site.latitude, first_cut, seasons=_SEASONS, seed=_SEED)
    try:
        made = forecast([grown], climate_of(farm), setting)
    except ClimateMissing:
        return (first_cut - start).days / 7 if sowing.method is not Method.PLUGS else None
    weeks = sowing.crop.weeks_to_flower
    for _ in range(_ROUNDS):
        days = _median_days(made, start)
        if days is None or days <= 0:
            return None
        weeks = min(_MOST_WEEKS, max(_LEAST_WEEKS, weeks * (first_cut - start).days / days))
        made = made.with_sowings([replace(grown, crop=replace(own, weeks_to_flower=weeks))])
    return weeks


def _median_days(made: Forecast, start: date) -> float | None:
    if not made.latents or made.seasons is None:
        return None
    first = made.latents[0].first_day.astype(np.float64)[None, :]
    return float(quantiles(first, (0.5,))[0, 0]) - made.seasons.span.index(start)
