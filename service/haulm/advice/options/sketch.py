"""A quick sketch of what sowings would close: the gap's own lines served from the new stems alone.

It only says where to look; what it finds is matched for real before anybody is told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.advice.options.candidates import Candidate
from haulm.farm.products import Product

PROBE_PLACES = 100
"""Places in the batch that a look tries; stems grow in step with places."""
ROUND_PLACES = 10
MOST_PLACES = 5000
_NEARER = 0.08
_WHOLE_STEM = 0.5
_STEMS_WEIGH = 0.5

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
        levels: the confidence wanted of each line, 0-1, shape (lines,).
    """

    missing: FloatArray
    most: FloatArray
    weights: npt.NDArray[np.float64]
    levels: npt.NDArray[np.float64]

    def sure(self, sowings: Sequence[Sized]) -> npt.NDArray[np.float64]:
        """How sure each line would be with these sowings, as shares of 1, shape (lines,).

        Source: each product's new stems go to the lines by due date, the oldest stems first, which is best where
        windows open and close in the order of their due dates (exchange argument); stems are in proportion to places.
        """
        return self._weighed(self._left(sowings) < _WHOLE_STEM)

    def want(self, sowings: Sequence[Sized]) -> float:
        """How far the lines are from what is wanted, 0 where all are sure enough: a number to make small.

        Source: for each line the confidence it lacks, and, half as heavy, the stems it lacks as a share of what it
        lacked at first, so that a sowing counts before it makes any line sure (the project's own measure).
        """
        left = self._left(sowings)
        lacks = np.maximum(self.levels - self._weighed(left < _WHOLE_STEM), 0)
        shares = self._weighed(left) / np.maximum(self._weighed(self.missing), 1e-9)
        return float((lacks + _STEMS_WEIGH * np.where(lacks > 0, shares, 0)).sum())

    def closed(self, sowings: Sequence[Sized]) -> BoolArray:
        """Which lines would be sure enough, booleans, shape (lines,)."""
        return np.asarray(self.sure(sowings) >= self.levels - 1e-9)

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

    def _weighed(self, table: FloatArray | BoolArray) -> npt.NDArray[np.float64]:
        """The weighted mean of each line, shape (lines,); not by `@`, whose threads wait at full speed once woken."""
        return np.asarray(np.einsum("ls,s->l", table, self.weights))

    def _left(self, sowings: Sequence[Sized]) -> FloatArray:
        """Stems each line still lacks, shape (lines, seasons)."""
        left = self.missing
        for product in dict.fromkeys(_product(sized) for sized in sowings):
            left = self._left_after(left, [sized for sized in sowings if _product(sized) == product])
        return left

    def _left_after(self, missing: FloatArray, sowings: Sequence[Sized]) -> FloatArray:
        before = np.zeros_like(missing)
        upto = np.zeros_like(missing)
        for sized in sowings:
            scale = np.float32(sized.places / PROBE_PLACES)
            before += scale * sized.look.before
            upto += scale * sized.look.upto
        left = np.empty_like(missing)
        gone = np.zeros(missing.shape[1], np.float32)
        for line, lacking in enumerate(missing):
            start = np.maximum(gone, before[line])
            got = np.minimum(np.minimum(lacking, self.most[line]), np.maximum(upto[line] - start, 0))
            left[line] = lacking - got
            gone = start + got
        return left


def rounded(places: float) -> int:
    """Places rounded up to a number that people sow."""
    return math.ceil(places / ROUND_PLACES - 1e-9) * ROUND_PLACES


def _product(sized: Sized) -> Product:
    return sized.look.candidate.product
