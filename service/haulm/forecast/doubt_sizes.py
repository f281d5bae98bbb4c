"""How far off a figure may be where nobody has counted yet: sizes of the doubt by kind, and why.

The truth of another farm's season lies around a published figure with a spread that dated facts and growers' trials
show. Of the whole spread most is the kind's, so that five cultivars of one kind don't fail one by one.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, log

from haulm.farm.varieties import Crop
from haulm.farm.words import LifeCycle
from haulm.forecast.doubt import Doubt, FigureDoubt

_FARM = "farm"

KIND_PART, VARIETY_PART = 0.9, 0.45
"""Of a whole spread the kind carries .9 and the variety .45, which together are the whole within a hundredth (judged
from trials of China aster: cultivars differ by .29 where growers differ by .32 to .83)."""

assert abs(hypot(KIND_PART, VARIETY_PART) - 1) < 0.01, "the parts of a spread make up the whole"

BAD_SHARE, BAD_FACTOR = 0.15, 0.5
"""Three growing years in twenty give half of their stems, whatever the kind (from memory; a farm's own three good years
hardly move it)."""

DEAD_LOT_SHARE = 0.05
"""One lot of seed in twenty does not come up (from memory)."""

WEEKS: Mapping[LifeCycle, float] = {
    LifeCycle.PERENNIAL: 0.11,
    LifeCycle.HALF_HARDY_ANNUAL: 0.15,
    LifeCycle.TENDER_ANNUAL: 0.15,
    LifeCycle.BULB_TUBER: 0.15,
    LifeCycle.HARDY_ANNUAL: 0.20,
    LifeCycle.BIENNIAL: 0.25,
}
"""Of the need. Dated facts of other places alone ask for .08 (perennials), .10 (warm kinds) and .15 (hardy annuals).
With these, promises at 80 % were kept 73 times in 100 where some kinds follow the light or the calendar: a need that is
carried from where it was found is further off where something else than warmth drives the plant. With the sizes here
they are kept 77 times (docs/engineer/promises-end-to-end.md). Bulbs and tubers that are planted in spring go with the
warm kinds. Biennials rest on few dates, so theirs is the widest of the usual ones (judged)."""

assert set(WEEKS) == set(LifeCycle), "every life cycle has its doubt"

WEEKS_OF_KIND: Mapping[str, float] = {"tulip": 0.11, "narcissus": 0.11, "anemone": 0.40, "ranunculus": 0.40}
"""Spring bulbs flower as surely as perennials; autumn corms came five to seven weeks earlier than modelled in published
tunnels."""

ONE_STEM = 0.15
ONE_STEM_OF_KIND: Mapping[str, float] = {"stock": 0.30}
"""Where a plant gives one stem: plants lost and stems not fit for sale (judged). Of stock a part flowers single and is
pulled out."""

BETWEEN_GROWERS = 0.30
FOUR_IN_FIVE = 2.56
MOST_STEMS = 0.70
NO_RANGE = 0.50
"""A published range holds four in five, so a spread is ln(high / low) / 2.56; beside it growers of one kind differ by
.30 and more (published spread of one cultivar among growers .32 to .83)."""

OWN_WEEKS, OWN_STEMS = 0.06, 0.25
"""What is left where the figure is the farm's own: site and habits are in it, but it rests on few years and comes
without a count of them. Simulated: after one season of own counts weeks .06 and stems .20 to .28 are left."""


def usual_doubt(crop: Crop) -> Doubt:
    """How far off a crop's figures may be.

    Args:
        crop: with the origin of its weeks and stems, and the published range of its stems.

    Returns:
        The doubt of its need and of its stems.

    Source: the constants above.
    """
    weeks, stems = _weeks(crop), _stems(crop)
    if crop.origin.get("weeks_to_flower") == _FARM:
        weeks = min(weeks, OWN_WEEKS)
    if crop.origin.get("stems_per_plant") == _FARM:
        stems = min(stems, OWN_STEMS)
    return Doubt(shared_out(weeks), shared_out(stems))


def shared_out(spread: float, shift: float = 0.0) -> FigureDoubt:
    """A whole spread as the kind's part and the variety's.

    Args:
        spread: of the logarithm of the figure.
        shift: of the mean of that logarithm.

    Returns:
        The doubt.

    Source: `KIND_PART` and `VARIETY_PART`.
    """
    return FigureDoubt(shift, KIND_PART * spread, VARIETY_PART * spread)


def _weeks(crop: Crop) -> float:
    return WEEKS_OF_KIND.get(crop.library_kind or "", WEEKS[crop.life_cycle])


def _stems(crop: Crop) -> float:
    if crop.stems_range is None:
        return NO_RANGE
    low, high = crop.stems_range
    # A plant gives one stem or none: a range of counts says nothing of that.
    if high <= 1:
        return ONE_STEM_OF_KIND.get(crop.library_kind or "", ONE_STEM)
    return min(MOST_STEMS, hypot(log(high / low) / FOUR_IN_FIVE, BETWEEN_GROWERS))
