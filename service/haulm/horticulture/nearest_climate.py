"""The climate of a place nobody has measured: the most alike of those carried, moved to the place's height.

Two places are alike by how far apart they lie, by latitude, by height and by how far the sea is. What is proposed are
one real place's months, never a mixture, so that she can say "we are colder than that".
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import acos, cos, hypot, log1p, radians, sin

LAPSE_C_PER_M = 0.0065
"""Colder by so much for each metre up: the International Standard Atmosphere (ISO 2533:1975), 6.5 K per 1,000 m."""
EARTH_KM = 6371.0
ALIKE_KM, ALIKE_DEG, ALIKE_M, ALIKE_SEA = 1000.0, 2.0, 300.0, 3.0
"""What counts as one step apart. Chosen from a grid of 144 by leaving out each carried climate in turn and proposing
for it from the others: these come nearest (root mean square 2.3 K over all months)."""
SEA_REACH_KM = 20.0
"""The sea is felt by the logarithm of its distance in this measure (common practice)."""
OFF_C, OFF_C_PER_STEP = 0.9, 1.4
"""How far off a month's mean low or high may be, eight times in ten; fitted to the climates left out in turn."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a farm lies: degrees, north and east positive; metres above the sea; kilometres to the sea."""

    latitude_deg: float
    longitude_deg: float
    height_m: float
    sea_km: float


@dataclass(frozen=True, slots=True)
class KnownClimate:
    """The usual weather of a place that is carried: mean lowest and highest temperature by month [deg C].

    Attributes:
        spot: where it is.
        is_opened: whether its source was opened; else it is from memory.
        source: in words.
    """

    key: str
    name: str
    spot: Spot
    min_c: tuple[float, ...]
    max_c: tuple[float, ...]
    is_opened: bool
    source: str

    def __post_init__(self) -> None:
        assert len(self.min_c) == len(self.max_c) == 12, "a mean low and a mean high of each month"
        assert all(low <= high for low, high in zip(self.min_c, self.max_c, strict=True)), (
            "no night warmer than its day"
        )


@dataclass(frozen=True, slots=True)
class ProposedClimate:
    """What is proposed for a spot.

    Attributes:
        of: the climate it rests on.
        min_c: mean lowest temperature by month, at the spot's height [deg C].
        max_c: mean highest, likewise.
        warmer_c: what was added for the height; negative where the spot is higher [K].
        apart_km: how far the two lie from each other.
        off_c: eight in ten of these figures are no further off than this [K].
    """

    of: KnownClimate
    min_c: tuple[float, ...]
    max_c: tuple[float, ...]
    warmer_c: float
    apart_km: float
    off_c: float


def nearest_climate(spot: Spot, known: Iterable[KnownClimate]) -> ProposedClimate:
    """The climate proposed for a spot.

    Args:
        spot: where the farm lies.
        known: the climates to choose from; one at least on the spot's side of the equator.

    Returns:
        The most alike of them, moved to the spot's height by `LAPSE_C_PER_M`, and how far off it may be.

    Source: likeness as in `steps_apart`; the lapse of the standard atmosphere.
    """
    same_side = [one for one in known if (one.spot.latitude_deg < 0) is (spot.latitude_deg < 0)]
    found = min(same_side, key=lambda one: steps_apart(spot, one.spot))
    warmer = LAPSE_C_PER_M * (found.spot.height_m - spot.height_m)
    return ProposedClimate(
        of=found,
        min_c=tuple(round(value + warmer, 1) for value in found.min_c),
        max_c=tuple(round(value + warmer, 1) for value in found.max_c),
        warmer_c=warmer,
        apart_km=kilometres(spot, found.spot),
        off_c=OFF_C + OFF_C_PER_STEP * steps_apart(spot, found.spot),
    )


def steps_apart(one: Spot, other: Spot) -> float:
    """How unlike two spots are; 0 is the same spot.

    Args:
        one: a spot.
        other: another.

    Returns:
        Steps: distance, latitude, height and the logarithm of the distance to the sea, each in its own measure.

    Source: fitted to the carried climates, see `ALIKE_KM`.
    """
    by_sea = log1p(one.sea_km / SEA_REACH_KM) - log1p(other.sea_km / SEA_REACH_KM)
    return hypot(
        kilometres(one, other) / ALIKE_KM,
        (one.latitude_deg - other.latitude_deg) / ALIKE_DEG,
        (one.height_m - other.height_m) / ALIKE_M,
        by_sea / ALIKE_SEA,
    )


def kilometres(one: Spot, other: Spot) -> float:
    """The way between two spots over the round earth.

    Args:
        one: a spot.
        other: another.

    Returns:
        Kilometres.

    Source: spherical law of cosines.
    """
    north, other_north = radians(one.latitude_deg), radians(other.latitude_deg)
    across = radians(one.longitude_deg - other.longitude_deg)
    cosine = sin(north) * sin(other_north) + cos(north) * cos(other_north) * cos(across)
    return EARTH_KM * acos(max(-1.0, min(1.0, cosine)))
