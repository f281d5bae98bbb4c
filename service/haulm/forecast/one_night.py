"""One cold night: what share of a hardy batch's plants lives through it, and whether its stems may."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from haulm.forecast.first_stem import Growing
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import is_tender
from haulm.forecast.overwintering import follows_winter, hardness_on, shelter_of, shows_buds
from haulm.forecast.plan import cycles
from haulm.forecast.seasons import Seasons
from haulm.horticulture.winter import Hardiness, survival


@dataclass(frozen=True, eq=False)
class Wintering:
    """A hardy batch that stands outside on one night.

    Attributes:
        growing: the batch.
        night: the day number of the night.
        is_soft: whether its stems are no hardier than their level: its buds show, or it has flowered, or what stands
            above its tubers is tender.
    """

    growing: Growing
    night: int
    is_soft: bool

    def alive(self, min_c: float) -> float:
        """The share of its plants that lives where the open gets so cold, 0-1: the mean over the weather years.

        Args:
            min_c: how cold it gets in the open [deg C].

        Source: `survival`, with the ground and the hardening of each weather year on that day.
        """
        crop, winter = self.growing.sowing.crop, self.growing.seasons.winter
        crown = winter.crown_at(shelter_of(self.growing.sowing), self.night, min_c)
        hard, stage = hardness_on(self.growing, np.array([self.night]))
        return float(survival(crown, hard, Hardiness(crop.soft_c, crop.hardened_c), stage=stage).mean())


def wintering(sowing: Sowing, seasons: Seasons, night: date) -> Wintering | None:
    """A batch on one night, if frost takes of it what its winter hardiness says.

    Args:
        sowing: the batch; it stands outside.
        seasons: the shared part of every season.
        night: the day it falls on.

    Returns:
        None for kinds that a night at their level kills, and where nothing is known of winters.

    Source: `follows_winter`.
    """
    growings = cycles(sowing, seasons)
    if not growings or not follows_winter(sowing, seasons):
        return None
    growing, day = Growing(sowing, growings[0], seasons), seasons.span.index(night)
    return Wintering(growing, day, is_tender(sowing.crop) or shows_buds(growing, day))
