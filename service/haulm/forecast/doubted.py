"""How far off two figures of a sowing are in each season, the need to its first stem and the stems of a plant.

Each has a part that its kind shares and a part of its variety's own, as logarithms.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.doubt_draws import Part, Score
from haulm.forecast.inputs import Sowing
from haulm.forecast.seasons import Seasons

FloatArray = npt.NDArray[np.float64]


def doubted_need(sowing: Sowing, seasons: Seasons) -> FloatArray | float:
    """How far the need of a first stem is off.

    Args:
        sowing: the batch.
        seasons: for what is drawn of its kind and variety.

    Returns:
        Logarithms [of a factor], shape (seasons,) or one for all.

    Source: shift + kind_sd z_kind + variety_sd z_variety; the median need stays where it is.
    """
    doubt, scores = sowing.doubt.need, need_scores(sowing)
    return seasons.kept(("need", doubt, scores), lambda: np.asarray(_off(doubt, scores, seasons)))


def factor_of_stems(sowing: Sowing, seasons: Seasons) -> FloatArray | float:
    """What the stems of a plant are multiplied by, since its figure may be off.

    Args:
        sowing: the batch.
        seasons: for what is drawn of its kind and variety.

    Returns:
        Factors, shape (seasons,) or one for all.

    Source: `doubted_stems`.
    """
    key = ("factor of stems", sowing.doubt.stems, stems_scores(sowing))
    return seasons.kept(key, lambda: np.asarray(np.exp(doubted_stems(sowing, seasons))))


def doubted_stems(sowing: Sowing, seasons: Seasons) -> FloatArray | float:
    """How far the stems of a plant are off.

    Args:
        sowing: the batch.
        seasons: for what is drawn of its kind and variety.

    Returns:
        Logarithms, shape (seasons,) or one for all.

    Source: as the need, less half the variance, so that the mean stays where it is.
    """
    return _off(sowing.doubt.stems, stems_scores(sowing), seasons) - half_variance(sowing.doubt.stems)


def half_variance(doubt: FigureDoubt) -> float:
    """Half the variance of a doubted figure's logarithm.

    Args:
        doubt: its spreads.

    Returns:
        What is taken off the logarithm so that the mean of the figure stays.

    Source: the mean of a log-normal figure.
    """
    return (doubt.kind_sd**2 + doubt.variety_sd**2) / 2


def need_scores(sowing: Sowing) -> tuple[Score, Score]:
    """The names of the scores that move the need of a sowing's kind and of its variety."""
    return Score(Part.NEED_OF_KIND, sowing.kind_key), Score(Part.NEED_OF_VARIETY, sowing.variety)


def stems_scores(sowing: Sowing) -> tuple[Score, Score]:
    """The names of the scores that move the stems of a sowing's kind and of its variety."""
    return Score(Part.STEMS_OF_KIND, sowing.kind_key), Score(Part.STEMS_OF_VARIETY, sowing.variety)


def is_doubted(doubt: FigureDoubt) -> bool:
    """Whether a figure is not known: it has a spread."""
    return doubt.kind_sd > 0 or doubt.variety_sd > 0


def _off(doubt: FigureDoubt, scores: tuple[Score, Score], seasons: Seasons) -> FloatArray | float:
    off: FloatArray | float = doubt.shift
    for spread, score in zip((doubt.kind_sd, doubt.variety_sd), scores, strict=True):
        if spread > 0:
            off = off + spread * seasons.score(score)
    return off
