"""Winter: how cold the crown of a plant gets, how hardy it is by then, and what share of plants lives through it.

The crown is the part from which a plant grows again. Cover warms it or keeps the cold out; it never takes hardness
away, since hardening is counted from the air outside. What a frost does to flowers is in `frost`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.farm.words import LifeCycle, WinterCover

AIR_SHARE = 0.5
AIR_SHARE_KEPT_OUT = 0.25
TUNNEL_RISE_C = 1.5
LEAST_GROUND_C, LEAST_GROUND_SNOW_C, LEAST_GROUND_TUNNEL_C = -4.0, -2.0, -1.0
GROUND_DAYS = 30
HARDENING_DAYS = 10
HARDENS_BELOW_C, HARDENED_AT_C = 10.0, 0.0
HARDENING_A_DAY, SOFTENING_A_DAY = 1 / 12, 1 / 5
SHOOTING_FROM, SHOOTING_UNTIL = 0.5, 0.8
HARDNESS_WHILE_SHOOTING = 0.5
ROSETTE_BELOW_HOURS = 12.0
SPREAD_C = 1.5
SNOW_LIES_BELOW_C = 0.0

# exp(60) is near 1e26: by then nobody lives, and nothing overflows yet.
_FAR = 60.0
_RISE_C: dict[WinterCover, float] = {
    WinterCover.NONE: 0.0,
    WinterCover.FLEECE: 1.5,
    WinterCover.LOW_COVER: 3.0,
    WinterCover.MULCH: 0.0,
    WinterCover.SNOW: 0.0,
}
assert set(_RISE_C) == set(WinterCover), "every winter cover has its rise"
_CROWN_KINDS = (LifeCycle.PERENNIAL, LifeCycle.BULB_TUBER)


@dataclass(frozen=True, slots=True)
class Shelter:
    """What stands between the winter and a crown: a tunnel, a cover put on for winter, the soil it is buried in."""

    tunnel: bool = False
    cover: WinterCover = WinterCover.NONE
    buried: bool = False

    @property
    def snow(self) -> bool:
        """Whether snow counts: none lies in a tunnel."""
        return self.cover is WinterCover.SNOW and not self.tunnel

    @property
    def keeps_cold_out(self) -> bool:
        """Whether the crown is shut off from the air on every day of winter."""
        return self.buried or self.cover is WinterCover.MULCH


@dataclass(frozen=True, slots=True)
class Hardiness:
    """The crown temperatures that kill half of the plants, soft and fully hardened [deg C]."""

    soft_c: float
    hardened_c: float

    def __post_init__(self) -> None:
        assert self.hardened_c <= self.soft_c, "a hardened plant stands as much as a soft one"


def lives_as_crown(life_cycle: LifeCycle) -> bool:
    """Whether a kind winters below the ground and gives up no hardness while its stems grow.

    Args:
        life_cycle: how the kind lives.

    Returns:
        True for perennials, bulbs and tubers.

    Source: common practice.
    """
    return life_cycle in _CROWN_KINDS


def trailing_mean(
    min_c: npt.NDArray[np.float32], max_c: npt.NDArray[np.float32], *, days: int
) -> npt.NDArray[np.float32]:
    """The mean temperature of the last n days up to each day; at the beginning, of those there are.

    Args:
        min_c: daily minimum, shape (days, years) [deg C].
        max_c: daily maximum, same shape [deg C].
        days: the days averaged, the day itself the last [d].

    Returns:
        Means, same shape [deg C].

    Source: definition.
    """
    assert min_c.shape == max_c.shape, "a lowest and a highest temperature of each day"
    sums = np.zeros((len(min_c) + 1, min_c.shape[1]))
    np.cumsum((min_c + max_c) / 2, axis=0, dtype=np.float64, out=sums[1:])
    upto = np.arange(1, len(sums))
    since = np.maximum(upto - days, 0)
    return ((sums[upto] - sums[since]) / (upto - since)[:, None]).astype(np.float32)


def crown_c(
    min_c: npt.NDArray[np.float32],
    ground_c: npt.NDArray[np.float32],
    shelter: Shelter,
    *,
    snow: npt.NDArray[np.bool_],
) -> npt.NDArray[np.float32]:
    """The temperature of crowns in each night.

    Args:
        min_c: night's minimum in the open, shape (days, years) [deg C].
        ground_c: mean air temperature of the last 30 days, same shape [deg C].
        shelter: what the crowns stand under or in.
        snow: days of the year on which snow lies where it lies at all, shape (days,).

    Returns:
        Crown temperatures, same shape as the minima [deg C].

    Source: half air, half ground, a quarter of air where snow, mulch or soil keeps it out; a tunnel and covers raise
    the minimum. The shares, the least the ground falls to (-4, under snow -2, in a tunnel -1) and the rises of 1.5 by
    a tunnel and 3 by a low cover gave the published survivals of bare and covered snapdragons; 1.5 by fleece is from
    memory. A mulch keeps cold out and never in.
    """
    assert min_c.shape == ground_c.shape, "air and ground of the same nights"
    assert snow.shape == (len(min_c),), "each day says whether snow lies"
    lies = snow[:, None] & shelter.snow
    tunnel_c = TUNNEL_RISE_C if shelter.tunnel else 0.0
    open_least = LEAST_GROUND_TUNNEL_C if shelter.tunnel else LEAST_GROUND_C
    ground = np.maximum(ground_c + tunnel_c, np.where(lies, LEAST_GROUND_SNOW_C, open_least))
    # What keeps cold out is not to keep warmth out: only nights colder than the ground are damped by it.
    colder = min_c + (tunnel_c + _RISE_C[shelter.cover]) - ground
    kept_out = (colder < 0) & (lies | shelter.keeps_cold_out)
    air_share = np.where(kept_out, AIR_SHARE_KEPT_OUT, AIR_SHARE)
    return np.asarray(ground + air_share * colder, dtype=np.float32)


def hardening(mean_c: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """How far plants outside are hardened on each day, 0 soft to 1.

    Args:
        mean_c: mean air temperature of the last 10 days, shape (days, years) [deg C].

    Returns:
        Shares, same shape. Plants begin as hard as the first day calls for.

    Source: towards (10 - T) / 10 between 0 and 1, by a twelfth a day up and a fifth down: hardening takes about two
    weeks of cold and is lost in one of warmth (from memory).
    """
    wanted = np.clip((HARDENS_BELOW_C - mean_c) / (HARDENS_BELOW_C - HARDENED_AT_C), 0, 1)
    hard: npt.NDArray[np.float32] = np.empty_like(wanted)
    now = wanted[0]
    for day, aim in enumerate(wanted):
        now = np.minimum(np.maximum(aim, now - np.float32(SOFTENING_A_DAY)), now + np.float32(HARDENING_A_DAY))
        hard[day] = now
    return hard


def survival(
    crown: npt.NDArray[np.float32],
    hard: npt.NDArray[np.float32],
    hardiness: Hardiness,
    *,
    stage: npt.NDArray[np.float32] | None = None,
) -> npt.NDArray[np.float64]:
    """The share of plants alive after some nights: that of the worst of them.

    Args:
        crown: crown temperatures, shape (nights, years) [deg C].
        hard: how far the plants are hardened, same shape.
        hardiness: the temperatures that kill half.
        stage: what their stage leaves of the hardness, same shape; None: all of it.

    Returns:
        Shares, shape (years,); 1 where there are no nights.

    Source: half die at LT50 = soft + (hardened - soft) x hardness, the share falls with the crown's distance from it
    as a logistic curve of 1.5 deg C (from memory); a plant that lived through the worst night lived through the rest.
    """
    assert crown.shape == hard.shape, "crowns and hardness of the same nights"
    assert stage is None or stage.shape == hard.shape, "stages of the same nights"
    if not len(crown):
        return np.ones(len(hard.T), dtype=np.float64)
    kept = hard if stage is None else hard * stage
    gained_c = np.float32(hardiness.soft_c - hardiness.hardened_c) * kept
    spare_c = np.asarray(crown - np.float32(hardiness.soft_c) + gained_c, dtype=np.float64)
    least: npt.NDArray[np.float64] = spare_c.min(axis=0)
    return np.asarray(1 / (1 + np.exp(np.minimum(-least / SPREAD_C, _FAR))), dtype=np.float64)


def stage_hardness(
    nights: npt.NDArray[np.int64], shoots: npt.NDArray[np.int64], shows: npt.NDArray[np.int64]
) -> npt.NDArray[np.float32]:
    """What a plant's stage leaves of its hardness: all of it as a rosette, half while it shoots, none in bud.

    Args:
        nights: day numbers, shape (nights,).
        shoots: the days on which a usual plant has made half of its way, shape (years,).
        shows: those on which it has made .8 of it, shape (years,).

    Returns:
        Shares, shape (nights, years).

    Source: from memory.
    """
    night = nights[:, None]
    return np.where(night < shoots, 1.0, np.where(night < shows, HARDNESS_WHILE_SHOOTING, 0.0)).astype(np.float32)
