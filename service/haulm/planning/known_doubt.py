"""The doubt of each variety once the farm's own years are known; without any it is the doubt given.

An accepted own figure holds its seasons already ("through 2027"): what they taught moves it no further, and later
seasons move it by their news alone. What they narrowed stays narrow.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from haulm.crop_library.kinds import kind_of
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.forecast.doubt import Doubt, FigureDoubt
from haulm.forecast.learning import Figure
from haulm.forecast.own_years import Spreads, learned_doubt, need_spreads, stems_spreads
from haulm.planning.past_years import THROUGH, told_of


@dataclass(frozen=True, slots=True)
class BadYears:
    """How often a year is bad for all kinds, and what they give then of what they would (0-1)."""

    share: float = 0.15
    factor: float = 0.5


def known_doubt(farm: Farm, before: Mapping[str, Doubt], bad: BadYears) -> Mapping[str, Doubt]:
    """What is not known of each variety, by its key, after the past years that were entered.

    Args:
        farm: the farm.
        before: the doubt of each of its varieties before any year.
        bad: bad years, as the forecast draws them.
    """
    if not farm.past_years:
        return before
    stems = _figure(
        farm, Figure.STEMS, {key: one.stems for key, one in before.items()}, stems_spreads(bad.share, bad.factor)
    )
    need = _figure(farm, Figure.WEEKS, {key: one.need for key, one in before.items()}, need_spreads())
    return {key: Doubt(need=need[key], stems=stems[key]) for key in before}


def _figure(farm: Farm, figure: Figure, before: Mapping[str, FigureDoubt], spreads: Spreads) -> dict[str, FigureDoubt]:
    kinds = {row.key: kind_of(row) for row in farm.varieties}
    seen = [told.seen for told in told_of(farm, figure) if told.why_not is None]
    left = learned_doubt(before, kinds, seen, spreads)
    for year in sorted({through for row in farm.varieties if (through := _through(row, figure)) is not None}):
        held = learned_doubt(before, kinds, [one for one in seen if one.year <= year], spreads)
        for row in farm.varieties:
            if _through(row, figure) == year:
                left[row.key] = _news(before[row.key], held[row.key], left[row.key])
    return left


def _news(before: FigureDoubt, held: FigureDoubt, now: FigureDoubt) -> FigureDoubt:
    """What an accepted figure does not hold yet: it stands where it was written, and later years move it."""
    return replace(now, shift=before.shift + now.shift - held.shift)


def _through(row: Variety, figure: Figure) -> int | None:
    through: int | None = getattr(row, THROUGH[figure])
    return through
