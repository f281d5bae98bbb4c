"""Frost: dates from their published levels, killing frosts from minima, and what a frost night costs.

Days are whole numbers on one axis that the caller chooses; `NEVER` is a day that does not come.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from haulm.farm.words import LifeCycle, WinterCover

# The largest round number in two bytes that leaves room to add a harvest to it.
NEVER = 32_000
DAYS_PER_DEGREE = 10.0
COVER_PROTECTION_C = 2.0
_COVER_RISE_C = {WinterCover.FLEECE: 1.5, WinterCover.LOW_COVER: 2.0}
"""By how much a cover over the tops keeps a frost night warmer [deg C]: light fleece 1 to 2, as extension leaflets on
row covers have it (from memory); a low tunnel as a high one."""

_Z90 = NormalDist().inv_cdf(0.9)
_LOST_PER_NIGHT: dict[LifeCycle, float] = {
    LifeCycle.TENDER_ANNUAL: 0.60,
    LifeCycle.HALF_HARDY_ANNUAL: 0.25,
    LifeCycle.BULB_TUBER: 0.25,
    LifeCycle.HARDY_ANNUAL: 0.05,
    LifeCycle.BIENNIAL: 0.05,
    LifeCycle.PERENNIAL: 0.0,
}
assert set(_LOST_PER_NIGHT) == set(LifeCycle), "every life cycle has its loss in a frost night"


@dataclass(frozen=True, slots=True)
class SplitNormal:
    """A date that varies from year to year: two half normals joined at the median. p10: one year in ten is earlier.

    Source of the shape: normal, logistic, split normal and the plain sample did equally well on 40 series left
    out one year at a time; this one meets three published levels exactly.
    """

    p10: float
    p50: float
    p90: float

    def __post_init__(self) -> None:
        assert self.p10 < self.p50, "levels of a frost date must rise: early before middle"
        assert self.p50 < self.p90, "levels of a frost date must rise: middle before late"

    def day(self, z: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """The day at a standard normal score.

        Args:
            z: standard normal scores, any shape.

        Returns:
            Days, same shape, on the axis of the levels [d].

        Source: Q(u) = p50 + z(u) s, with s from the lower half below the median and from the upper above it.
        """
        lower, upper = (self.p50 - self.p10) / _Z90, (self.p90 - self.p50) / _Z90
        return np.asarray(self.p50 + z * np.where(z < 0, lower, upper), dtype=np.float64)

    def quantile(self, share: float) -> float:
        """The day that a share of years does not reach.

        Args:
            share: between 0 and 1.

        Returns:
            A day on the axis of the levels [d].

        Source: as `day`.
        """
        return float(self.day(np.array(NormalDist().inv_cdf(share))))

    @property
    def mean(self) -> float:
        """The mean day. Source: algebra, p50 + (s_upper - s_lower) / sqrt(2 pi)."""
        return self.p50 + (self.p90 - 2 * self.p50 + self.p10) / _Z90 / float(np.sqrt(2 * np.pi))


def frost_days(
    levels: SplitNormal, z: npt.NDArray[np.float64], *, kill_c: float, autumn: bool, none_share: float = 0.0
) -> npt.NDArray[np.int64]:
    """The day of the last spring or first autumn frost that reaches a crop's level, season by season.

    Args:
        levels: the date of a 0 deg C air frost.
        z: standard normal scores, shape (seasons,).
        kill_c: the temperature that harms the crop [deg C].
        autumn: True for the first frost of autumn, False for the last of spring.
        none_share: share of seasons in which no such frost comes (autumn only).

    Returns:
        Days, shape (seasons,), on the axis of the levels; `NEVER` where none comes.

    Source: a level lower by one degree comes about 10 days further into winter; over ten sites the median
    -2 deg C frost is 9 to 47 days after the median 0 deg C frost (from memory for the single figure).
    """
    assert 0 <= none_share < 1, "some season has a frost"
    further = -kill_c * DAYS_PER_DEGREE
    days = np.rint(levels.day(z) + (further if autumn else -further)).astype(np.int64)
    if autumn and none_share > 0:
        days = np.where(z > NormalDist().inv_cdf(1 - none_share), NEVER, days)
    return days


def next_frost(min_c: npt.NDArray[np.float32], level_c: float) -> npt.NDArray[np.int16]:
    """For each day, the first day from it on whose minimum is at or below a level.

    Args:
        min_c: daily minimum, shape (years, days) [deg C].
        level_c: the level [deg C].

    Returns:
        Day indices, shape (years, days); `NEVER` where no such day follows.

    Source: definition.
    """
    assert min_c.shape[1] < NEVER, "the calendar ends before the day that never comes"
    days = np.arange(min_c.shape[1], dtype=np.int16)
    # From the last day back, the least number met so far is the next frost.
    hits = np.where(min_c <= level_c, days, np.int16(NEVER))
    return np.ascontiguousarray(np.minimum.accumulate(hits[:, ::-1], axis=1)[:, ::-1])


def kept_off_c(cover: WinterCover, *, tunnel: bool) -> float:
    """By how much frost is kept off plants that no winter is meant for.

    Args:
        cover: what lies over them.
        tunnel: whether they stand in a tunnel.

    Returns:
        Degrees that a night may be colder before it harms them [deg C]; of a cover in a tunnel both together.

    Source: `_COVER_RISE_C`; a tunnel by `COVER_PROTECTION_C`.
    """
    return _COVER_RISE_C.get(cover, 0.0) + (COVER_PROTECTION_C if tunnel else 0.0)


def share_surviving(nights: npt.NDArray[np.int64], life_cycle: LifeCycle) -> npt.NDArray[np.float64]:
    """The share of plants alive after some nights at or below the crop's level.

    Args:
        nights: number of such nights, any shape.
        life_cycle: how the kind lives; what a night costs.

    Returns:
        Shares, same shape, 0 to 1.

    Source: losses per night are from memory.
    """
    # Thousands of seasons share a few numbers of nights: each power is worked out once.
    after = (1 - _LOST_PER_NIGHT[life_cycle]) ** np.arange(int(nights.max(initial=0)) + 1)
    return np.asarray(after[nights], dtype=np.float64)
