"""Scoring: forecasts compared with what came. Arrays in, numbers out; knows no store and no farm.

Stems cut without a count of what was left are only a lower bound on what was there. Such a case is judged where the
bound decides it, and left open where it does not.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import exp, lgamma, log, log1p

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

PRIOR_KEPT, PRIOR_BROKEN = 8, 2
SEASON_LIKENESS = 0.2
BAND = 0.9
RANGE = 0.8


class Verdict(StrEnum):
    """What the evidence says of a level of confidence."""

    TOO_EARLY = "too-early"
    AS_STATED = "as-stated"
    TOO_BOLD = "too-bold"
    TOO_CAREFUL = "too-careful"


@dataclass(frozen=True, slots=True)
class Judged:
    """How many of some statements came true: `held` of `decided`; `open_cases` could not be decided."""

    held: int
    decided: int
    open_cases: int = 0

    def __post_init__(self) -> None:
        assert 0 <= self.held <= self.decided, "what came true was decided"

    @property
    def share(self) -> float:
        """The share that came true; 0 where nothing was decided."""
        return self.held / self.decided if self.decided else 0.0


@dataclass(frozen=True, slots=True)
class SureShare:
    """What share comes true in the long run: best guess, and the range that holds it four times in five."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Bin:
    """Statements of a like confidence: their mean stated confidence, and how many came true."""

    stated: float
    judged: Judged


@dataclass(frozen=True, slots=True)
class Standing:
    """How statements at one level stand over all seasons.

    Attributes:
        level: the confidence stated.
        judged: over all seasons.
        by_season: the same, season by season.
        share: what comes true in the long run.
        independent: how many statements that do not share a season theirs are worth.
        band: the least and greatest number out of `judged.decided` that chance explains if the level is right.
        verdict: whether the level is as stated.
    """

    level: float
    judged: Judged
    by_season: dict[str, Judged]
    share: SureShare
    independent: float
    band: tuple[int, int]
    verdict: Verdict


def kept(promised: FloatArray, came: FloatArray, at_least: BoolArray) -> Judged:
    """How many promises were kept: as many stems were there as promised.

    Args:
        promised: shape (n,) [stems].
        came: stems there, shape (n,) [stems].
        at_least: where `came` is a lower bound, shape (n,).

    Returns:
        The count; a lower bound that falls short of its promise decides nothing.

    Source: definition.
    """
    assert promised.shape == came.shape == at_least.shape, "for each promise what came"
    held = came >= promised
    decided = held | ~at_least
    return Judged(int(held.sum()), int(decided.sum()), int((~decided).sum()))


def inside(low: FloatArray, high: FloatArray, came: FloatArray, at_least: BoolArray) -> Judged:
    """How many intervals held what came, ends included.

    Args:
        low: lower ends, shape (n,), in the unit of `came`.
        high: upper ends, shape (n,), in the unit of `came`.
        came: what came, shape (n,) [stems or d].
        at_least: where `came` is a lower bound, shape (n,).

    Returns:
        The count; a lower bound decides only where it lies above the interval.

    Source: definition.
    """
    assert low.shape == high.shape == came.shape, "for each interval what came"
    # A lower bound inside the interval may still turn out above it.
    held = (low <= came) & (came <= high) & ~at_least
    decided = ~at_least | (came > high)
    return Judged(int(held.sum()), int(decided.sum()), int((~decided).sum()))


def pinball_loss(stated: FloatArray, levels: FloatArray, came: FloatArray) -> FloatArray:
    """The pinball loss of stated quantiles, the mean over levels: small where they were sharp and right.

    Args:
        stated: quantiles, shape (n, levels), in the unit of `came`.
        levels: shares between 0 and 1, shape (levels,).
        came: what came, shape (n,) [stems or d].

    Returns:
        Losses, shape (n,), in the unit of `came`.

    Source: Koenker and Bassett (1978), Econometrica 46, 33-50.
    """
    missed = came[:, None] - stated
    return np.asarray(np.maximum(levels * missed, (levels - 1) * missed).mean(axis=1), dtype=np.float64)


def pinball_skill(stated: FloatArray, levels: FloatArray, came: FloatArray, naive: FloatArray) -> float:
    """How much smaller the loss is than that of a naive rule that states one number: 1 all gone, 0 none, below 0 worse.

    Args:
        stated: quantiles, shape (n, levels), in the unit of `came`.
        levels: shares between 0 and 1, shape (levels,).
        came: what came, shape (n,) [stems or d].
        naive: what the rule says, such as the fixed weeks, shape (n,).

    Returns:
        The skill, without unit; 0 where both losses are 0.

    Source: definition of a skill score.
    """
    ours = float(pinball_loss(stated, levels, came).sum())
    theirs = float(pinball_loss(np.repeat(naive[:, None], len(levels), axis=1), levels, came).sum())
    return 1 - ours / theirs if theirs > 0 else (0.0 if ours == 0 else -np.inf)


def ranks_among_stated(stated: FloatArray, levels: FloatArray, came: FloatArray, *, seed: int) -> FloatArray:
    """Where what came stood among what was stated (the randomised probability integral transform).

    Args:
        stated: quantiles, rising along axis 1, shape (n, levels), in the unit of `came`.
        levels: rising shares between 0 and 1, shape (levels,).
        came: what came, shape (n,) [stems or d].
        seed: of the draw within a jump.

    Returns:
        Shares, shape (n,): uniform between 0 and 1 where the statements were right. Between two stated quantiles a
        straight line; at a jump, and beyond the outermost, drawn evenly from the shares it covers.

    Source: Czado, Gneiting and Held (2009), Biometrics 65, 1254-1261.
    """
    draws = np.random.default_rng(seed).random(len(came))
    below = np.array([_share(row, levels, value, upper=False) for row, value in zip(stated, came, strict=True)])
    above = np.array([_share(row, levels, value, upper=True) for row, value in zip(stated, came, strict=True)])
    return np.asarray(below + draws * (above - below), dtype=np.float64)


def _share(row: FloatArray, levels: FloatArray, value: float, *, upper: bool) -> float:
    """The lowest or highest share at which the stated quantile function passes a value."""
    at = int((row <= value).sum()) if upper else int((row < value).sum())
    if at == 0:
        return float(levels[0]) if upper else 0.0
    if at == len(row):
        return 1.0 if upper else float(levels[-1])
    low, high = row[at - 1], row[at]
    if value in (low, high):
        return float(levels[at - 1] if value == low else levels[at])
    return float(levels[at - 1] + (levels[at] - levels[at - 1]) * (value - low) / (high - low))


def reliability(stated: FloatArray, held: BoolArray, edges: tuple[float, ...]) -> tuple[Bin, ...]:
    """Statements by stated confidence, and how many of each bin came true: the points of a reliability plot.

    Args:
        stated: confidence of each statement, shape (n,) [share].
        held: whether it came true, shape (n,).
        edges: rising ends of the bins, the last included in the last bin [share].

    Returns:
        A bin for each stretch that holds a statement.

    Source: definition.
    """
    found: list[Bin] = []
    for low, high in pairwise(edges):
        here = (stated >= low) & ((stated < high) | ((high == edges[-1]) & (stated == high)))
        if here.any():
            found.append(Bin(float(stated[here].mean()), Judged(int(held[here].sum()), int(here.sum()))))
    return tuple(found)


def sure_share(held: int, decided: int) -> SureShare:
    """What share of promises at 80 % comes true in the long run, given those decided so far.

    Args:
        held: promises kept.
        decided: promises decided.

    Returns:
        Mean and 80 % range of Beta(8 + kept, 2 + broken); 0.80 (0.63 to 0.94) before the first.

    Source: a beta prior worth ten promises of which eight are kept (the project's own choice); its distribution
    function is a binomial tail (algebra).
    """
    a, b = PRIOR_KEPT + held, PRIOR_BROKEN + decided - held
    tail = (1 - RANGE) / 2
    return SureShare(a / (a + b), _beta_quantile(a, b, tail), _beta_quantile(a, b, 1 - tail))


def no_news_band(decided: int, level: float) -> tuple[int, int]:
    """The counts of promises kept that chance explains if the level is right and the promises are independent.

    Args:
        decided: number of promises.
        level: confidence stated, between 0 and 1.

    Returns:
        Least and greatest count; at most one time in twenty is it less, and one in twenty more.

    Source: the exact binomial distribution.
    """
    assert 0 < level < 1, "nothing is wholly sure: logarithms of both chances are taken"
    tail = (1 - BAND) / 2
    cumulative = np.cumsum([_binomial(k, decided, level) for k in range(decided + 1)])
    low = int(np.searchsorted(cumulative, tail))
    high = int(np.searchsorted(cumulative, 1 - tail))
    return low, min(high, decided)


def independent_number(decided: tuple[int, ...]) -> float:
    """How many independent promises those of a few seasons are worth: a season is good or bad for all of its promises.

    Args:
        decided: promises decided in each season.

    Returns:
        The sum over seasons of n / (1 + (n - 1) r), r = 0.2.

    Source: the design effect of cluster samples (Kish 1965, Survey Sampling); r is the likeness of two promises of one
    season in hindcasts, where 40 promises a season are worth 4 to 5.
    """
    return float(sum(n / (1 + (n - 1) * SEASON_LIKENESS) for n in decided if n > 0))


def standing(level: float, by_season: dict[str, Judged]) -> Standing:
    """How the statements at a level stand, and whether the level is as stated.

    Args:
        level: the confidence stated, between 0 and 1.
        by_season: what was judged in each season.

    Returns:
        The standing. The verdict is given on the number of independent promises, and only when their count leaves the
        band: with fewer than ten of them it is too early.

    Source: `no_news_band`, `independent_number`.
    """
    held = sum(item.held for item in by_season.values())
    decided = sum(item.decided for item in by_season.values())
    total = Judged(held, decided, sum(item.open_cases for item in by_season.values()))
    independent = independent_number(tuple(item.decided for item in by_season.values()))
    worth = round(independent)
    low, high = no_news_band(worth, level)
    scaled = (round(low * decided / worth), round(high * decided / worth)) if worth else (0, 0)
    alike = sure_share(round(total.share * worth), worth)
    return Standing(
        level, total, by_season, alike, independent, scaled, _verdict(total.share * worth, worth, low, high)
    )


def _verdict(held: float, worth: int, low: int, high: int) -> Verdict:
    if worth < PRIOR_KEPT + PRIOR_BROKEN:
        return Verdict.TOO_EARLY
    if held < low:
        return Verdict.TOO_BOLD
    return Verdict.TOO_CAREFUL if held > high else Verdict.AS_STATED


def _binomial(k: int, n: int, p: float) -> float:
    # By logarithms, since factorials of a hundred promises leave the range of floating point.
    return exp(lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1) + k * log(p) + (n - k) * log1p(-p))


def _beta_quantile(a: int, b: int, share: float) -> float:
    """By bisection of I_x(a, b) = P(at least a of a + b - 1 tries succeed)."""
    low, high = 0.0, 1.0
    tries = a + b - 1
    for _ in range(50):
        middle = (low + high) / 2
        reached = sum(_binomial(k, tries, middle) for k in range(a, tries + 1))
        low, high = (middle, high) if reached < share else (low, middle)
    return (low + high) / 2
