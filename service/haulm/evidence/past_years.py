"""Past years as the estimate needs them: which rows count, for what, against which figure, and why others do not.

A season counts once. What the farm's records say of a season goes before what was entered of it: they were written
down on the day, and the forecast reads them by itself. A variety's own row goes before that of its kind.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import log
from statistics import fmean
from typing import Any

from haulm.crop_library.library import crop_for
from haulm.evidence.how_grown import is_dated
from haulm.evidence.need_told import need_off
from haulm.evidence.seen import standing_records
from haulm.farm.past_years import PastYear
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop, Variety
from haulm.farm.words import RecordKind
from haulm.forecast.latent import CUTTING_LOSS, MARKETABLE
from haulm.forecast.learning import LEAST_FIGURE, Figure
from haulm.forecast.own_years import YearSeen
from haulm.language.words import marked

_SPEAK_OF = {
    Figure.STEMS: frozenset((RecordKind.CUT, RecordKind.HUNG)),
    Figure.WEEKS: frozenset((RecordKind.FIRST_CUT, RecordKind.CUT, RecordKind.HUNG)),
}
_CUT = _SPEAK_OF[Figure.WEEKS]
Recorded = frozenset[tuple[Figure, str, int]]
"""Figure, variety and year."""
THROUGH = {Figure.STEMS: "stems_through", Figure.WEEKS: "weeks_through"}
"""The field of a variety that says the last season its own figure holds."""


class WhyNot(StrEnum):
    """Why a row says nothing of a figure."""

    NOT_SAID = marked("not said")
    RECORDED = "recorded"
    BY_VARIETY = marked("by variety")
    NO_SOWING = marked("no sowing")
    NO_FIT = marked("no fit")


@dataclass(frozen=True, slots=True)
class Told:
    """What one row says of one figure.

    Attributes:
        row: the row.
        varieties: the varieties it is about.
        before: the figure that stood before any season of the farm was taken over, in its unit.
        log_ratio: logarithm of what it says over that.
        why_not: why it does not count; None where it does.
    """

    row: PastYear
    varieties: tuple[str, ...]
    before: float
    log_ratio: float
    why_not: WhyNot | None

    @property
    def seen(self) -> YearSeen:
        """The row as the estimate takes it."""
        assert self.why_not is None, "only a row that counts is seen"
        return YearSeen(self.row.year, self.varieties, self.log_ratio)


def told_of(farm: Farm, figure: Figure, recorded: Recorded | None = None) -> tuple[Told, ...]:
    """What every past year of the farm says of a figure, in the order of the rows.

    Args:
        farm: the farm.
        figure: stems or weeks.
        recorded: the seasons its records speak of, where they are known already.
    """
    assert figure in THROUGH, "germination is not told of past years"
    recorded = seasons_recorded(farm) if recorded is None else recorded
    crops = {row.key: crop_before(row, figure) for row in farm.varieties} if farm.past_years else {}
    by_variety = {(row.variety, row.year) for row in farm.past_years if row.variety and _says(row, figure)}
    found = []
    for row in farm.past_years:
        names = tuple(key for key, crop in crops.items() if row.variety == key or row.kind == crop.kind)
        why_not, log_ratio = None, None
        if not names or not _says(row, figure):
            why_not = WhyNot.NOT_SAID
        elif any((figure, name, row.year) in recorded for name in names):
            why_not = WhyNot.RECORDED
        elif row.kind and any((name, row.year) in by_variety for name in names):
            why_not = WhyNot.BY_VARIETY
        elif figure is Figure.WEEKS and not is_dated(farm.site, row, crops[names[0]]):
            why_not = WhyNot.NO_SOWING
        else:
            log_ratio = _log_ratio(farm, row, figure, [crops[name] for name in names])
            why_not = WhyNot.NO_FIT if log_ratio is None else None
        before = max(LEAST_FIGURE, fmean(figure_of(crops[name], figure) for name in names)) if names else 0.0
        found.append(Told(row, names, before, log_ratio or 0.0, why_not))
    return tuple(found)


def varieties_of(farm: Farm, row: PastYear) -> tuple[str, ...]:
    """The varieties that a row is about: its own, or all of its kind."""
    if row.variety is not None:
        return tuple(one.key for one in farm.varieties if one.key == row.variety)
    return tuple(one.key for one in farm.varieties if crop_for(one).kind == row.kind)


def kind_names(farm: Farm) -> dict[str, str]:
    """The names of the kinds that a farm grows, by key."""
    return {crop.kind: crop.kind_name for crop in map(crop_for, farm.varieties)}


def stems_a_plant(row: PastYear) -> float | None:
    """Stems that a plant gave before sorting, as the crop's figure counts them; None where a total is missing."""
    if row.stems is None or row.plants is None:
        return None
    return row.stems / row.plants / (MARKETABLE * (1 - CUTTING_LOSS))


def stems_before(farm: Farm, names: Collection[str]) -> float:
    """The stems a plant of some varieties, on average, before any season of the farm was taken over."""
    return fmean(crop_before(row, Figure.STEMS).stems_per_plant for row in farm.varieties if row.key in names)


def _says(row: PastYear, figure: Figure) -> bool:
    return row.stems is not None if figure is Figure.STEMS else row.first_cut is not None


def crop_before(variety: Variety, figure: Figure) -> Crop:
    """A variety's crop before any season of the farm was taken over into this figure."""
    through = THROUGH[figure]
    if getattr(variety, through) is None:
        return crop_for(variety)
    values: dict[str, Any] = {str(figure): None, through: None}
    return crop_for(replace(variety, **values))


def figure_of(crop: Crop, figure: Figure) -> float:
    """A crop's figure in the unit in which it is learnt."""
    if figure is Figure.GERMINATION:
        return 100 * crop.germination_share
    return crop.weeks_to_flower if figure is Figure.WEEKS else crop.stems_per_plant


def seasons_recorded(farm: Farm) -> Recorded:
    """Of the years that were entered, the figures, varieties and years that the records speak of."""
    years = {row.year for row in farm.past_years}
    if not any(record.kind in _CUT and record.date.year in years for record in farm.records):
        return frozenset()
    variety_of: Mapping[str, str] = {batch.key: batch.variety for batch in farm.batches}
    return frozenset(
        (figure, record.variety or variety_of.get(record.batch or "", ""), record.date.year)
        for record in standing_records(farm.records)
        for figure, kinds in _SPEAK_OF.items()
        if record.kind in kinds and record.date.year in years and (record.count or record.kind is RecordKind.FIRST_CUT)
    )


def _log_ratio(farm: Farm, row: PastYear, figure: Figure, crops: Sequence[Crop]) -> float | None:
    if figure is Figure.STEMS:
        grown = stems_a_plant(row)
        assert grown is not None, "stems and plants go together"
        return log(grown / max(LEAST_FIGURE, fmean(crop.stems_per_plant for crop in crops)))
    return need_off(farm, row, crops[0])
