"""What is drawn for a doubt: a kind's, a variety's, a growing year's and a lot's, each by its own key.

A key's draws depend on the seed and the key alone. A what-if changes how much they count for, never the draws, and
what is drawn for a kind or a variety stays from one growing year to the next.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from hashlib import blake2b

import numpy as np
import numpy.typing as npt

from haulm.forecast.normal_scores import score_at
from haulm.kept import answers

_COUNTS_KEPT = 8
_SCORES_KEPT = 256

FloatArray = npt.NDArray[np.float64]


class Part(StrEnum):
    """Whose figure is doubted: the need (what a first stem takes) or the stems, of a kind or of a variety."""

    NEED_OF_KIND = "need of kind"
    NEED_OF_VARIETY = "need of variety"
    STEMS_OF_KIND = "stems of kind"
    STEMS_OF_VARIETY = "stems of variety"


@dataclass(frozen=True, slots=True)
class Score:
    """Names a doubted figure of one kind or variety."""

    part: Part
    key: str


def words_of(person: bytes, key: str) -> list[int]:
    """Four numbers that a key gives, to seed a stream with.

    Args:
        person: what the key is a key of, 16 bytes at most.
        key: the key.

    Returns:
        Four whole numbers of 32 bits.

    Source: BLAKE2 (RFC 7693).
    """
    digest = blake2b(key.encode(), digest_size=16, person=person).digest()
    return [int.from_bytes(digest[at : at + 4], "little") for at in range(0, 16, 4)]


def even_shares(person: bytes, key: str, drawn: tuple[int, int]) -> FloatArray:
    """Shares evenly spread between 0 and 1, in an order of their own.

    Args:
        person: what the key is a key of, 16 bytes at most.
        key: the key.
        drawn: seed and number of seasons.

    Returns:
        Shape (seasons,).

    Source: stratified: one share from the middle of each of as many equal parts (McKay, Beckman and Conover 1979,
    Technometrics 21, 239-245).
    """
    return np.asarray((_order(person, key, drawn) + 0.5) / drawn[1], dtype=np.float64)


@answers(_SCORES_KEPT)
def first_scores(score: Score, drawn: tuple[int, int]) -> FloatArray:
    """The normal scores of a doubted figure before anything was seen of it.

    Args:
        score: which figure.
        drawn: seed and number of seasons.

    Returns:
        Scores in no order, of mean 0 and spread 1, shape (seasons,).

    Source: `even_shares` through the normal distribution.
    """
    found = _even_scores(drawn[1])[_order(score.part.encode(), score.key, drawn)]
    found.setflags(write=False)
    return found


@answers(_COUNTS_KEPT)
def _even_scores(seasons: int) -> FloatArray:
    """The normal scores of as many equal parts, rising."""
    return score_at((np.arange(seasons) + 0.5) / seasons)


def _order(person: bytes, key: str, drawn: tuple[int, int]) -> npt.NDArray[np.int64]:
    seed, seasons = drawn
    return np.random.default_rng([seed, *words_of(person, key)]).permutation(seasons)


def bad_years(names: tuple[int, ...], drawn: tuple[int, int]) -> FloatArray:
    """How bad each growing year of the span is in each season: below the share of bad years it is one.

    Args:
        names: the calendar years in which the growing years begin.
        drawn: seed and number of seasons.

    Returns:
        Shares between 0 and 1, shape (growing years, seasons).

    Source: `even_shares`, keyed by the year.
    """
    return np.stack([even_shares(b"bad year", str(name), drawn) for name in names])


def lot_shares(lot: str, drawn: tuple[int, int]) -> FloatArray:
    """How well a lot comes up in each season: below the share of dead lots it does not.

    Args:
        lot: its key.
        drawn: seed and number of seasons.

    Returns:
        Shares between 0 and 1, shape (seasons,).

    Source: a stream seeded by a digest of the lot's key.
    """
    return np.random.default_rng([drawn[0], *words_of(b"lot", lot)]).random(drawn[1])
