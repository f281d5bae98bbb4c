"""How much a batch gives, once stems of it were cut or counted: its own vigour and its harvest curve follow the count.

Stems cut and what was left of them measure the harvest; stems cut alone bound it from below, since a grower cuts what
is ordered.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from haulm.forecast.doubted import factor_of_stems, half_variance, is_doubted
from haulm.forecast.inputs import Evidence, Sowing
from haulm.forecast.normal_scores import FARTHEST, scores_between, share_below, shares_nearly
from haulm.forecast.own_draws import OwnDraws
from haulm.forecast.seasons import Seasons
from haulm.forecast.weather import THIS_YEAR
from haulm.horticulture.harvest_curve import CURVES

YIELD_CV = 0.30
YIELD_SHARED = 0.35
COUNT_ERROR = 0.15
FARTHEST_MEASURED = 6.0
FARTHEST_BOUND = 3.0
FARTHEST_SEEN = 2.5
LEAST_SHARE = 1e-3

_Float = TypeVar("_Float", np.float32, np.float64)

_SPREAD = sqrt(log(1 + YIELD_CV**2))
_OWN = _SPREAD * sqrt(1 - YIELD_SHARED)
OWN_SPREAD = _OWN
"""Of a batch's own yield, on the logarithm of its stems."""
_SHARED = _SPREAD * sqrt(YIELD_SHARED)


@dataclass(frozen=True, eq=False, slots=True)
class Flowering:
    """A growing of a batch from its first stem on, before its own vigour is known.

    Attributes:
        sowing: the batch.
        first: its first days, shape (seasons,).
        years: the growing years of these, shape (seasons,), or () where all fall in one.
        expected: stems to expect of its plants in a usual season, shape (seasons,) or () [stems].
        curves: cumulative harvest, shape (curves, days + 1).
        drawn: the shared and its own part of every season.
    """

    sowing: Sowing
    first: npt.NDArray[np.int64]
    years: npt.NDArray[np.intp]
    expected: npt.NDArray[np.float64]
    curves: npt.NDArray[np.float32]
    drawn: tuple[Seasons, OwnDraws]

    def __post_init__(self) -> None:
        assert self.years.shape in ((), self.first.shape), "a growing year in each season, or one for all"
        assert self.expected.shape in ((), self.first.shape), "stems to expect in each season, or as many in all"


@dataclass(frozen=True, slots=True)
class Harvest:
    """A batch's harvest in every season, each shape (seasons,).

    Attributes:
        curve: row of the harvest curves.
        total: stems of the whole harvest, were there no frost.
        log_share: log-likelihood of each season given the counts; None where nothing was counted, or where the kind's
            figure is uncertain and `AmountSeen` holds it.
    """

    curve: npt.NDArray[np.intp]
    total: npt.NDArray[np.float64]
    log_share: npt.NDArray[np.float64] | None = None


@dataclass(frozen=True, eq=False)
class AmountSeen:
    """What a count says of a batch's own vigour if the figure of its stems is right: scores.

    Attributes:
        wanted: the score that would have given just this count, shape (curves, seasons); (1, seasons) where the count
            only bounds.
        error: variance of a count of all there was, in own variances; None where the count only bounds.
    """

    wanted: npt.NDArray[np.float32]
    error: float | None

    def __post_init__(self) -> None:
        assert len(self.wanted) == (1 if self.error is None else CURVES), "only a count of all tells the curves apart"

    def at(self, off: npt.NDArray[np.float64]) -> npt.NDArray[np.float32]:
        """Log-likelihoods if the stems are off so far, shape (nodes, seasons)."""
        left = self.wanted[:, None] - (off / _OWN).astype(np.float32)[:, None]
        if self.error is None:
            share = 1 - shares_nearly(np.minimum(left[0], np.float32(FARTHEST_BOUND)))
            return np.asarray(np.log(share), dtype=np.float32)
        fit = tailed(left / np.float32(sqrt(1 + self.error)))
        return np.asarray(np.log(np.exp(fit).mean(axis=0)), dtype=np.float32)


@dataclass(frozen=True, slots=True)
class _Count:
    """Stems that had become ready up to a day, and whether that is all of them."""

    stems: int
    day: int
    is_all: bool

    def __post_init__(self) -> None:
        assert self.stems > 0, "a count counts something: its logarithm is taken"


def harvest(flowering: Flowering) -> Harvest:
    """The harvest of a batch, with what was cut and counted.

    Args:
        flowering: the batch from its first stem on.

    Returns:
        The harvest; never fewer stems than were cut.

    Source: log-normal yield per plant, cv 0.30, 0.35 of its variance shared by the season; counts within 15 % (from
    memory). Conjugate update of the batch's own share; a count that only bounds truncates it. A count farther than
    2.5 spreads from what a season expects weighs as if the tail of the normal were a straight line.
    """
    seasons, draws = flowering.drawn
    evidence, doubt = flowering.sowing.evidence, flowering.sowing.doubt
    usual = _usual(flowering) * factor_of_stems(flowering.sowing, seasons)
    curve = (draws.u_curve * CURVES).astype(np.intp)
    own = draws.z_vigour
    log_share = None
    count = _count(evidence, seasons)
    if count is not None:
        wanted = _wanted(count, usual, flowering)
        if count.is_all:
            curve, own, log_share = _measured(wanted, count, draws)
        else:
            own, log_share = _bounded(wanted[curve, np.arange(len(own))], draws)
        # An earlier year's count says nothing of this season; one of stems in doubt is judged by `AmountSeen` already.
        if count.day < seasons.span.starts[THIS_YEAR] or is_doubted(doubt.stems):
            log_share = None
    # `usual` is kept above 0 for its logarithm; where no plant stands there are no stems all the same.
    total = np.where(flowering.expected > 0, usual, 0) * np.exp(_OWN * own)
    if evidence.cut_so_far:
        total = np.maximum(total, evidence.cut_so_far)
    return Harvest(curve, total, log_share)


def amount_seen(flowering: Flowering) -> AmountSeen | None:
    """The evidence of stems cut and counted of a batch, for any number of stems a plant.

    Args:
        flowering: the batch from its first stem on.

    Returns:
        The evidence; None where nothing was counted in this growing year.

    Source: as `harvest`, as a function of how far off the stems are.
    """
    seasons, draws = flowering.drawn
    count = _count(flowering.sowing.evidence, seasons)
    if count is None or count.day < seasons.span.starts[THIS_YEAR]:
        return None
    doubt = flowering.sowing.doubt.stems
    usual = _usual(flowering) * np.exp(doubt.shift - half_variance(doubt))
    wanted = _wanted(count, usual, flowering)
    if count.is_all:
        return AmountSeen(wanted.astype(np.float32), _error(count))
    curve = (draws.u_curve * CURVES).astype(np.intp)
    return AmountSeen(wanted[curve, np.arange(len(curve))][None].astype(np.float32), None)


def _usual(flowering: Flowering) -> npt.NDArray[np.float64]:
    """Stems of a batch of middling vigour in each season, were the plants' figure right, shape (seasons,)."""
    seasons, years = flowering.drawn[0], flowering.years
    vigour = seasons.kept("vigour", lambda: np.exp(_SHARED * seasons.shared_vigour() - _SPREAD**2 / 2))
    usual = np.maximum(flowering.expected, LEAST_SHARE) * seasons.in_years(vigour, years)
    return np.asarray(usual * seasons.good_share(years), dtype=np.float64)


def _wanted(count: _Count, usual: npt.NDArray[np.float64], flowering: Flowering) -> npt.NDArray[np.float64]:
    """The score of the batch that would have given just this count by its day, shape (curves, seasons)."""
    curves = flowering.curves
    passed = np.clip(count.day + 1 - flowering.first, 0, curves.shape[1] - 1)
    return np.asarray((np.log(count.stems / np.maximum(curves[:, passed], LEAST_SHARE)) - np.log(usual)) / _OWN)


def _error(count: _Count) -> float:
    return (COUNT_ERROR**2 + 1 / max(count.stems, 1)) / _OWN**2


def _count(evidence: Evidence, seasons: Seasons) -> _Count | None:
    stems = evidence.cut_so_far + (evidence.left or 0)
    if evidence.cut_until is None or not stems:
        return None
    is_all = evidence.left is not None and not evidence.is_shared_out and not evidence.is_part_gone
    return _Count(stems, seasons.span.index(evidence.cut_until), is_all)


def _measured(
    wanted: npt.NDArray[np.float64], count: _Count, draws: OwnDraws
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Curve, own score and log-likelihood of each season, given a count of all that was ready."""
    error = _error(count)
    off = wanted / sqrt(1 + error)
    shares = np.exp(tailed(off))
    running = np.cumsum(shares, axis=0) / shares.sum(axis=0)
    curve = np.minimum((running < draws.u_curve).sum(axis=0), CURVES - 1)
    kept = 1 / (1 + error)
    found = kept * wanted[curve, np.arange(wanted.shape[1])] + sqrt(1 - kept) * draws.z_vigour
    own = np.clip(found, -FARTHEST_MEASURED, FARTHEST_MEASURED)
    return curve, own, np.log(shares.mean(axis=0))


def _bounded(
    least: npt.NDArray[np.float64], draws: OwnDraws
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Own score and log-likelihood of each season, given that the batch gave more than the least score."""
    least = np.minimum(least, FARTHEST_BOUND)
    share = 1 - share_below(least)
    # A batch that was cut did not fail, so its draw of failure is free.
    return scores_between(draws.z_vigour, least, FARTHEST, draws.u_failure), np.log(share)


def tailed(score: npt.NDArray[_Float]) -> npt.NDArray[_Float]:
    """The logarithm of a normal density up to a constant, with straight tails beyond 2.5 spreads.

    Args:
        score: normal scores, any shape.

    Returns:
        Logarithms of shares, same shape, never above 0.

    Source: Huber (1964), Ann. Math. Statist. 35, 73-101, so that one odd record never outweighs all others.
    """
    size = np.minimum(np.abs(score), 8 * FARTHEST_SEEN)
    inner = np.minimum(size, FARTHEST_SEEN)
    return np.asarray(-(inner**2) / 2 - FARTHEST_SEEN * (size - inner), dtype=score.dtype)
