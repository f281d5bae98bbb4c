"""The doubt of each variety once the farm's own years are known; without any it is the usual doubt.

An accepted own figure holds its seasons already ("through 2027"): what they taught moves it no further, and later
seasons move it by their news alone. What they narrowed stays narrow.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import hypot

from haulm.crop_library.library import crop_for
from haulm.evidence.past_years import THROUGH, Recorded, crop_before, seasons_recorded, told_of
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.forecast.doubt import Doubt, FigureDoubt
from haulm.forecast.doubt_sizes import BAD_FACTOR, BAD_SHARE, usual_doubt
from haulm.forecast.learning import Figure
from haulm.forecast.own_years import Spreads, learned_doubt, need_spreads, stems_spreads
from haulm.kept import Kept

_PARTS = ("site", "varieties", "temperatures", "past_years")
"""What the answer depends on, beside the seasons that records speak of; never the plan."""


@dataclass(frozen=True, slots=True, eq=False)
class _Parts:
    """The collections of a farm that the answer depends on; equal only where they are the very same."""

    farm: Farm
    more: tuple[str, ...] = ()

    def __eq__(self, other: object) -> bool:
        """Whether it shares every one of them."""
        if not isinstance(other, _Parts):
            return False
        names = (*_PARTS, *self.more)
        return all(getattr(self.farm, name) is getattr(other.farm, name) for name in names)

    def __hash__(self) -> int:
        """By how many rows there are: what is equal has as many."""
        return hash((len(self.farm.past_years), self.more))


_RECORDED: Kept[_Parts, Recorded] = Kept(4)
_KEPT: Kept[tuple[_Parts, Recorded], Mapping[str, Doubt]] = Kept(4)


def known_doubts(farm: Farm) -> Mapping[str, Doubt]:
    """What is not known of each variety of a farm, by its key, after the past years that were entered."""
    recorded = _RECORDED.of(_Parts(farm, ("records", "batches")), lambda: seasons_recorded(farm))
    return _KEPT.of((_Parts(farm), recorded), lambda: _known(farm, recorded))


def _known(farm: Farm, recorded: Recorded) -> dict[str, Doubt]:
    stems = _figure(farm, Figure.STEMS, recorded, stems_spreads(BAD_SHARE, BAD_FACTOR))
    need = _figure(farm, Figure.WEEKS, recorded, need_spreads())
    return {row.key: Doubt(need=need[row.key], stems=stems[row.key]) for row in farm.varieties}


def _figure(farm: Farm, figure: Figure, recorded: Recorded, spreads: Spreads) -> dict[str, FigureDoubt]:
    before = {row.key: _part(usual_doubt(crop_before(row, figure)), figure) for row in farm.varieties}
    kinds = {row.key: crop_for(row).kind for row in farm.varieties}
    seen = [told.seen for told in told_of(farm, figure, recorded) if told.why_not is None]
    left = learned_doubt(before, kinds, seen, spreads)
    stamped = {row.key: year for row in farm.varieties if (year := _through(row, figure)) is not None}
    for year in sorted(set(stamped.values())):
        held = learned_doubt(before, kinds, [one for one in seen if one.year <= year], spreads)
        for row in farm.varieties:
            if stamped.get(row.key) == year:
                moved = left[row.key].shift - held[row.key].shift
                left[row.key] = _narrower(left[row.key], _part(usual_doubt(crop_for(row)), figure), moved)
    return left


def _narrower(now: FigureDoubt, own: FigureDoubt, shift: float) -> FigureDoubt:
    """An accepted figure stands where it was written; it is as sure as its years make it, or as an own figure is."""
    surer = min(now, own, key=lambda one: hypot(one.kind_sd, one.variety_sd))
    return replace(surer, shift=shift)


def _part(doubt: Doubt, figure: Figure) -> FigureDoubt:
    return doubt.stems if figure is Figure.STEMS else doubt.need


def _through(row: Variety, figure: Figure) -> int | None:
    through: int | None = getattr(row, THROUGH[figure])
    return through
