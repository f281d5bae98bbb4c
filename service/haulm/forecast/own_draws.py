"""What is drawn for one batch or one variety alone: it depends on the seed and its key, and moves no other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubt_draws import stream
from haulm.forecast.inputs import Setting
from haulm.horticulture.time_to_flower import SENSITIVITY_ROWS


@dataclass(frozen=True, slots=True)
class OwnDraws:
    """A batch's own part of each season, each shape (seasons,): normal scores, uniforms, and its own generator."""

    z_delay: npt.NDArray[np.float64]
    z_pace: npt.NDArray[np.float64]
    z_vigour: npt.NDArray[np.float64]
    u_curve: npt.NDArray[np.float64]
    u_failure: npt.NDArray[np.float64]
    u_not_yet: npt.NDArray[np.float64]
    rng: np.random.Generator

    def picked(self, places: npt.NDArray[np.intp]) -> OwnDraws:
        """The same draws in some of the seasons, by their numbers, each shape (picked,)."""
        return OwnDraws(
            self.z_delay[places],
            self.z_pace[places],
            self.z_vigour[places],
            self.u_curve[places],
            self.u_failure[places],
            self.u_not_yet[places],
            self.rng,
        )


def own_draws(key: str, setting: Setting) -> OwnDraws:
    """A batch's own draws.

    Args:
        key: the batch's key.
        setting: seed and number of seasons.

    Returns:
        Draws, each shape (seasons,).

    Source: a stream seeded by a digest of the key.
    """
    rng = stream(b"batch", key, setting.seed)
    normal = rng.standard_normal((3, setting.seasons))
    uniform = rng.random((3, setting.seasons))
    return OwnDraws(normal[0], normal[1], normal[2], uniform[0], uniform[1], uniform[2], rng)


def sensitivity_shares(variety: str, setting: Setting) -> npt.NDArray[np.float64]:
    """A variety's place among kinds that are ever more sensitive to warmth, in each season: shared by its batches.

    Args:
        variety: the variety's key.
        setting: seed and number of seasons.

    Returns:
        Shares evenly spread between 0 and 1, in no order, shape (seasons,).

    Source: a stream seeded by a digest of the key.
    """
    rng = stream(b"variety", variety, setting.seed)
    place = rng.permutation(setting.seasons)
    kinds = SENSITIVITY_ROWS
    within = (place // kinds + 0.5) / (setting.seasons // kinds + 1)
    return np.asarray((place % kinds + within) / kinds, dtype=np.float64)


def sensitivity_rows(variety: str, setting: Setting) -> npt.NDArray[np.intp]:
    """How sensitive a variety is to warmth in each season, before any record of it.

    Args:
        variety: the variety's key.
        setting: seed and number of seasons.

    Returns:
        Rows of sensitivities (see `kinds_of`), each equally often, shape (seasons,).

    Source: equal prior weight on each (from memory); it can be learnt only from two or more sow dates.
    """
    return (sensitivity_shares(variety, setting) * SENSITIVITY_ROWS).astype(np.intp)
