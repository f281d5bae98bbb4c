"""A quick sketch of what sowings would close: the gap's own lines served from the new stems alone.

It only says where to look; what it finds is matched for real before anybody is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.advice.options.candidates import Candidate
from haulm.farm.products import Product
from haulm.farm.quantities import HAIR, whole_up

PROBE_PLACES = 100
"""Places in the batch that a look tries; stems grow in step with places."""
ROUND_PLACES = 10
MOST_PLACES = 5000
_NEARER = 0.08
_WHOLE_STEM = 0.5
_STEMS_WEIGH = 0.5
_TOGETHER = 64
"""So many sowings are looked at together: few enough that what is worked on stays in the processor's cache."""

FloatArray = npt.NDArray[np.float32]
BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Look:
    """What PROBE_PLACES places of a candidate give, as the lines of a gap see it.

    Attributes:
        candidate: the sowing.
        before: stems ready too early for each line, shape (lines, seasons) [stems].
        upto: those and the ones ready in time for it, same shape [stems].
    """

    candidate: Candidate
    before: FloatArray
    upto: FloatArray

    @property
    def is_too_late(self) -> bool:
        """Whether it flowers after every line in every season."""
        return not self.upto.any()


@dataclass(frozen=True, eq=False)
class Sized:
    """A look with a number of places."""

    look: Look
    places: int


@dataclass(frozen=True, eq=False)
class Sketch:
    """The lines of a gap, by due date, and what they lack.

    Attributes:
        missing: stems each line lacks, shape (lines, seasons) [stems].
        most: most stems of one product that each line takes, shape (lines,) [stems].
        weights: of the seasons, adding up to 1, shape (seasons,).
        levels: the confidence wanted of each line, 0-1, shape (lines,); of lines that count together shape (1,).
        beside: of lines that count together, the seasons in which all else is filled that counts with them, shape
            (seasons,); None where each line counts by itself.
    """

    missing: FloatArray
    most: FloatArray
    weights: npt.NDArray[np.float64]
    levels: npt.NDArray[np.float64]
    beside: BoolArray | None = None

    def sure(self, sowings: Sequence[Sized]) -> npt.NDArray[np.float64]:
        """How sure each line would be with these sowings, shape (lines,), or all together, shape (1,); shares of 1.

        Source: each product's new stems go to the lines by due date, the oldest stems first, which is best where
        windows open and close in the order of their due dates (exchange argument); stems are in proportion to places.
        """
        return self._sure_of(self._left(sowings))

    def want(self, sowings: Sequence[Sized]) -> float:
        """How far the lines are from what is wanted, 0 where all are sure enough: a number to make small.

        Source: for each line the confidence it lacks, and, half as heavy, the stems it lacks as a share of what it
        lacked at first, so that a sowing counts before it makes any line sure (the project's own measure).
        """
        return float(self._want_of(self._left(sowings)[None])[0])

    def wants(self, others: Sequence[Sized], sowings: Sequence[Sized]) -> list[float]:
        """What `want` says of each of some sowings beside others; those of one product are worked out together."""
        found: dict[int, float] = {}
        for product in dict.fromkeys(map(_product, sowings)):
            places = [place for place, sized in enumerate(sowings) if _product(sized) == product]
            for some in (places[start : start + _TOGETHER] for start in range(0, len(places), _TOGETHER)):
                left = self._left_each(others, [sowings[place] for place in some])
                found.update(zip(some, self._want_of(left).tolist(), strict=True))
        return [found[place] for place in range(len(sowings))]

    def closed(self, sowings: Sequence[Sized]) -> BoolArray:
        """Which lines would be sure enough, shape (lines,), or whether all together would, shape (1,); booleans."""
        return np.asarray(self.sure(sowings) >= self.levels - HAIR)

    def least_places(self, look: Look, others: Sequence[Sized] = ()) -> int | None:
        """The fewest places of one more sowing that make all lines sure enough.

        Args:
            look: the sowing.
            others: sowings beside it.

        Returns:
            Places, within a twelfth; None where no number of them would do.

        Source: bisection; more places never give a line less here.
        """

        def enough(places: int) -> bool:
            return bool(self.closed((*others, Sized(look, places))).all())

        if not enough(MOST_PLACES):
            return None
        low, high = 0, 4 * ROUND_PLACES
        while high < MOST_PLACES and not enough(high):
            low, high = high, 2 * high
        while high - low > max(ROUND_PLACES, _NEARER * high):
            middle = rounded((low + high) / 2)
            if middle >= high:
                break
            low, high = (low, middle) if enough(middle) else (middle, high)
        return min(high, MOST_PLACES)

    def _want_of(self, left: FloatArray) -> npt.NDArray[np.float64]:
        """What is wanted with what is left, shape (sowings,); left of shape (sowings, lines, seasons)."""
        lacks = np.maximum(self.levels - self._sure_of(left), 0)
        shares = self._weighed(left) / np.maximum(self._weighed(self.missing), HAIR)
        shares = shares if self.beside is None else shares.mean(axis=-1, keepdims=True)
        return np.asarray((lacks + _STEMS_WEIGH * np.where(lacks > 0, shares, 0)).sum(axis=-1))

    def _sure_of(self, left: FloatArray) -> npt.NDArray[np.float64]:
        filled = left < _WHOLE_STEM
        return self._weighed(filled if self.beside is None else filled.all(axis=-2, keepdims=True) & self.beside)

    def _weighed(self, table: FloatArray | BoolArray) -> npt.NDArray[np.float64]:
        """The weighted mean over the seasons, the last axis; not by `@`: its threads wait at full speed once woken."""
        return np.asarray(np.einsum("...s,s->...", table, self.weights))

    def _left(self, sowings: Sequence[Sized]) -> FloatArray:
        """Stems each line still lacks, shape (lines, seasons)."""
        left = self.missing
        for product in dict.fromkeys(map(_product, sowings)):
            left = self._served(left, *self._given([sized for sized in sowings if _product(sized) == product]))
        return left

    def _left_each(self, others: Sequence[Sized], sowings: Sequence[Sized]) -> FloatArray:
        """The same of each of some sowings of one product, beside others, shape (sowings, lines, seasons)."""
        own = _product(sowings[0])
        scale = np.array([sized.places / PROBE_PLACES for sized in sowings], np.float32)[:, None, None]
        left = self.missing
        for product in dict.fromkeys((*map(_product, others), own)):
            before, upto = self._given([sized for sized in others if _product(sized) == product])
            if product == own:
                before = np.asarray(before + scale * np.stack([sized.look.before for sized in sowings]), np.float32)
                upto = np.asarray(upto + scale * np.stack([sized.look.upto for sized in sowings]), np.float32)
            left = self._served(left, before, upto)
        return left

    def _given(self, sowings: Sequence[Sized]) -> tuple[FloatArray, FloatArray]:
        """Stems of some sowings that are ready too early for each line, and those with the ones in time."""
        before = np.zeros_like(self.missing)
        upto = np.zeros_like(self.missing)
        for sized in sowings:
            scale = np.float32(sized.places / PROBE_PLACES)
            before += scale * sized.look.before
            upto += scale * sized.look.upto
        return before, upto

    def _served(self, missing: FloatArray, before: FloatArray, upto: FloatArray) -> FloatArray:
        """Stems each line still lacks after one product; lines and seasons are the last axes."""
        left = np.empty(np.broadcast_shapes(missing.shape, before.shape), np.float32)
        gone = np.zeros_like(left[..., 0, :])
        for line in range(missing.shape[-2]):
            lacking = missing[..., line, :]
            start = np.maximum(gone, before[..., line, :])
            got = np.minimum(np.minimum(lacking, self.most[line]), np.maximum(upto[..., line, :] - start, 0))
            left[..., line, :] = lacking - got
            gone = start + got
        return left


def rounded(places: float) -> int:
    """Places rounded up to a number that people sow."""
    return whole_up(places / ROUND_PLACES) * ROUND_PLACES


def _product(sized: Sized) -> Product:
    return sized.look.candidate.product
