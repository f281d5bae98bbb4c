"""Random draws for what is uncertain about a kind, a variety, a growing year or a lot, each by its own key.

A key's draws depend on the seed and the key alone. A what-if changes the weight of the draws, never the draws, and the
draws of a kind or a variety are the same in every growing year.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from hashlib import blake2b
from typing import cast

import numpy as np
import numpy.typing as npt
from numpy.random.bit_generator import ISeedSequence

from haulm.forecast.normal_scores import score_at
from haulm.kept import answers

_COUNTS_KEPT = 8
_SCORES_KEPT = 256
_STREAMS_KEPT = 4096

FloatArray = npt.NDArray[np.float64]


class Part(StrEnum):
    """Which figure is uncertain: the need (what a first stem takes) or the stems, of a kind or of a variety."""

    NEED_OF_KIND = "need of kind"
    NEED_OF_VARIETY = "need of variety"
    STEMS_OF_KIND = "stems of kind"
    STEMS_OF_VARIETY = "stems of variety"


@dataclass(frozen=True, slots=True)
class Score:
    """The name of an uncertain figure of one kind or variety."""

    part: Part
    key: str


def stream(person: bytes, key: str, seed: int) -> np.random.Generator:
    """The random numbers of a key, from the first on.

    Args:
        person: what the key is a key of, 16 bytes at most.
        key: the key.
        seed: of the whole draw.

    Returns:
        A generator, the same whenever it is asked for.

    Source: seeded by the seed and a digest of the key, BLAKE2 (RFC 7693).
    """
    # numpy takes any ISeedSequence; its types name the usual one alone.
    return np.random.Generator(np.random.PCG64(cast(np.random.SeedSequence, _seeded(person, key, seed))))


class _Seeded(ISeedSequence):
    """A seed sequence that keeps its mixed state: mixing takes as long as drawing a thousand numbers."""

    def __init__(self, mixed: npt.NDArray[np.uint64]) -> None:
        self._mixed = mixed

    def generate_state(self, n_words: int, dtype: object = np.uint64) -> npt.NDArray[np.uint64]:
        """The state that a generator of this sort begins with."""
        assert n_words == len(self._mixed), "mixed for a generator of another size"
        assert dtype is np.uint64, "mixed for a generator of another sort"
        return self._mixed


@answers(_STREAMS_KEPT)
def _seeded(person: bytes, key: str, seed: int) -> _Seeded:
    digest = blake2b(key.encode(), digest_size=16, person=person).digest()
    words = [int.from_bytes(digest[at : at + 4], "little") for at in range(0, 16, 4)]
    mixed = np.random.SeedSequence([seed, *words]).generate_state(4, np.uint64).astype(np.uint64)
    mixed.setflags(write=False)
    return _Seeded(mixed)


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
    """The normal scores of an uncertain figure before any record: its prior.

    Args:
        score: which figure.
        drawn: seed and number of seasons.

    Returns:
        Scores in no order, of mean 0 and spread 1, shape (seasons,).

    Source: `even_shares` through the normal distribution.
    """
    found = _even_scores(drawn[1])[_order(score.part.encode(), score.key, drawn)]
    # One array is handed to everybody who asks.
    found.setflags(write=False)
    return found


@answers(_COUNTS_KEPT)
def _even_scores(seasons: int) -> FloatArray:
    """The normal scores of as many equal parts, rising."""
    return score_at((np.arange(seasons) + 0.5) / seasons)


def _order(person: bytes, key: str, drawn: tuple[int, int]) -> npt.NDArray[np.int64]:
    seed, seasons = drawn
    return stream(person, key, seed).permutation(seasons)


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
    return stream(b"lot", lot, drawn[0]).random(drawn[1])
