"""Winter tables: how cold crowns get and how hardened plants are, on every night of every weather year.

A night is a row, so that the nights of a batch are one stretch of memory. Tables are made once they are asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from haulm.horticulture.winter import (
    GROUND_DAYS,
    HARDENING_DAYS,
    SNOW_LIES_BELOW_C,
    Shelter,
    crown_c,
    hardening,
    trailing_mean,
)


@dataclass(frozen=True, slots=True)
class Nights:
    """Temperatures or shares of every night, shape (days, weather years), and the least of each, shape (days,)."""

    each: npt.NDArray[np.float32]
    least: npt.NDArray[np.float32]

    @classmethod
    def of(cls, each: npt.NDArray[np.float32]) -> Nights:
        """The nights with the least of each.

        Args:
            each: of every night and weather year, shape (days, weather years) [deg C, or shares].

        Returns:
            The same, not to be written to any more.

        Source: definition.
        """
        each.setflags(write=False)
        return cls(each, each.min(axis=1))


@dataclass(frozen=True)
class WinterTables:
    """Crowns by what shelters them, and hardening, from daily extremes, each shape (weather years, days) [deg C]."""

    min_c: npt.NDArray[np.float32]
    max_c: npt.NDArray[np.float32]

    @cached_property
    def hardened(self) -> Nights:
        """How far plants outside are hardened, 0 to 1."""
        return Nights.of(hardening(trailing_mean(*self._by_night, days=HARDENING_DAYS)))

    def crowns(self, shelter: Shelter) -> Nights:
        """The temperatures of crowns under or in a shelter [deg C]."""
        if shelter not in self._crowns:
            low = self._by_night[0]
            self._crowns[shelter] = Nights.of(crown_c(low, self._ground_c, shelter, snow=self._snow))
        return self._crowns[shelter]

    def crown_at(self, shelter: Shelter, day: int, min_c: float) -> npt.NDArray[np.float32]:
        """Crowns under or in a shelter in a night that gets so cold in the open, shape (1, weather years) [deg C]."""
        night = slice(day, day + 1)
        ground_c = self._ground_c[night]
        return crown_c(np.full_like(ground_c, min_c), ground_c, shelter, snow=self._snow[night])

    @cached_property
    def _crowns(self) -> dict[Shelter, Nights]:
        return {}

    @cached_property
    def _by_night(self) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.float32]]:
        return np.ascontiguousarray(self.min_c.T), np.ascontiguousarray(self.max_c.T)

    @cached_property
    def _ground_c(self) -> npt.NDArray[np.float32]:
        return trailing_mean(*self._by_night, days=GROUND_DAYS)

    @cached_property
    def _snow(self) -> npt.NDArray[np.bool_]:
        """The days on which the place is usually cold enough for snow to lie, shape (days,).

        They are days of the calendar: a colder year brings no more snow, or it would be the milder one for a crown.
        """
        return np.asarray(self._ground_c.mean(axis=1) <= SNOW_LIES_BELOW_C)
