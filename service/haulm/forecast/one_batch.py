"""What one batch will give: when its first stem comes, how many there are, and in how many seasons there is none.

Stems that were cut, or that would have gone over before today, are no part of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

import numpy as np
import numpy.typing as npt

from haulm.farm.weeks import Week
from haulm.forecast.days import busy_by_length
from haulm.forecast.inputs import Sowing
from haulm.forecast.latent import Latent
from haulm.forecast.parts_of_doubt import PartOfDoubt, factors_of, parts_of_doubt
from haulm.forecast.percentiles import LEVELS, quantiles, week_percentiles, whole_quantiles
from haulm.forecast.plan import cycles
from haulm.forecast.seasons import Seasons
from haulm.forecast.supply import Forecast
from haulm.forecast.typical import TypicalSeason, typical_by_week

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Harvest:
    """The stems that a batch is still to give, in every season; in some season there are some.

    Attributes:
        first_day: the day of row 0.
        stems: by ready day and season, shape (days, seasons) [stems].
        first: the row of the first stem of each season that gives any, below 0 where it came before, shape (giving,).
        weights: of the seasons, summing to 1, shape (seasons,).
        growing_year: the growing year of the span in which it usually begins.
        seasons: the shared part of every season.
        sowing: the batch.
    """

    first_day: date
    stems: IntArray
    first: npt.NDArray[np.int64]
    weights: FloatArray
    growing_year: int
    seasons: Seasons
    sowing: Sowing

    def __post_init__(self) -> None:
        assert self.stems.shape[1:] == self.weights.shape, "a weight for each season"
        assert 0 < len(self.first) <= len(self.weights), "some season gives stems"

    @cached_property
    def total(self) -> npt.NDArray[np.int64]:
        """Stems of each season, shape (seasons,)."""
        return np.asarray(self.stems.sum(axis=0, dtype=np.int64))

    @property
    def none(self) -> float:
        """The weight of the seasons without a stem, 0-1."""
        return float(self.weights[self.total == 0].sum())

    @property
    def first_stem(self) -> tuple[date, date, date]:
        """The day of the first stem, early, middling and late, over the seasons that give stems.

        Source: `quantiles`, to the nearest day.
        """
        early, middling, late = (round(float(day)) for day in quantiles(self.first[None, :], LEVELS, self._share)[:, 0])
        return self.first_day + timedelta(early), self.first_day + timedelta(middling), self.first_day + timedelta(late)

    @property
    def amount(self) -> tuple[int, int, int]:
        """Its stems in a poor, a middling and a good season of those that give any.

        Source: `quantiles`, rounded down.
        """
        given = self.total[self.total > 0]
        low, middle, high = whole_quantiles(given[None, :], LEVELS, self._share)[:, 0].tolist()
        return low, middle, high

    @property
    def last_stem(self) -> date:
        """The middling day of the last stem over the seasons that give stems.

        Source: `quantiles`, to the nearest day.
        """
        last = len(self.stems) - 1 - np.argmax(self.stems[::-1, self.total > 0] > 0, axis=0)
        return self.first_day + timedelta(round(float(quantiles(last[None, :], (0.5,), self._share)[0, 0])))

    @property
    def weeks(self) -> dict[Week, tuple[int, int, int]]:
        """The 10th, 50th and 90th percentile by week, from the first week with stems to the last [stems].

        Source: `week_percentiles`.
        """
        found = week_percentiles(self.stems, self.first_day, self.weights)
        busy = [week for week, stems in found.items() if stems[2]]
        return {week: stems for week, stems in found.items() if busy and busy[0] <= week <= busy[-1]}

    @property
    def typical(self) -> tuple[TypicalSeason, ...]:
        """A poor, a middling and a good season that could happen, week by week.

        Source: `typical_by_week`.
        """
        weeks = [Week.of(self.first_day + timedelta(day)) for day in range(len(self.stems))]
        return typical_by_week(self.stems, weeks, self.weights)

    @property
    def doubt(self) -> tuple[PartOfDoubt, ...]:
        """What the doubt of its day and of its stems comes from, half and half; none where there is no doubt.

        Source: `parts_of_doubt`.
        """
        gives = self.total > 0
        outcomes = [(self.total.astype(np.float64), np.ones(len(gives), np.bool_))]
        day = np.zeros(len(gives))
        day[gives] = self.first
        outcomes.append((day, gives))
        factors = factors_of([self.sowing], self.seasons, self.growing_year)
        return parts_of_doubt(outcomes, self.seasons.weights, factors)

    @property
    def _share(self) -> FloatArray:
        gives = self.weights[self.total > 0]
        return np.asarray(gives / gives.sum())


def harvest_of(forecast: Forecast, batch: str, since: date) -> Harvest | None:
    """What a batch is still to give: of a perennial, its next harvest.

    Args:
        forecast: every batch in every season.
        batch: its key.
        since: the first day whose stems are not over yet.

    Returns:
        The harvest that is not over in every season; None where the batch counts for nothing or gives no more.

    Source: `busy_by_length`; the first stem comes on the first day with a whole stem, or on the batch's own first day
    where that is over.
    """
    sowing = next((one for one in forecast.sowings if one.key == batch), None)
    if sowing is None or forecast.seasons is None:
        return None
    growings = [latent for latent in forecast.latents if latent.key == batch]
    found = zip(growings, cycles(sowing, forecast.seasons), strict=True)
    here = ((latent, forecast.seasons if cycle.key == batch else forecast.seasons.apart()) for latent, cycle in found)
    return next(_harvests(here, sowing, forecast.weights, since), None)


def _harvests(
    growings: Iterable[tuple[Latent, Seasons]], sowing: Sowing, weights: FloatArray, since: date
) -> Iterator[Harvest]:
    for latent, seasons in growings:
        start, span = seasons.span.index(since), seasons.span
        pools = list(busy_by_length([latent], start, span.days - start, len(weights)).values())
        stems = np.asarray(np.sum([pool.stems for pool in pools], axis=0), dtype=np.int32)
        gives = stems.any(axis=0)
        if not weights[gives].sum() > 0:
            continue
        row = start + pools[0].row
        first = np.argmax(stems[:, gives] > 0, axis=0) + row
        begins = latent.first_day[gives].astype(np.int64) + latent.ready_after_days
        # Where the first stems are over or cut, the ones that are left no longer show the day on which they came.
        came = begins <= max(start - 1, latent.taken_until + latent.ready_after_days)
        first = np.where(came, begins, first)
        year = int(seasons.growing_year[min(max(0, int(np.median(first))), span.days - 1)])
        yield Harvest(span.first + timedelta(row), stems, first - row, weights, year, seasons, sowing)
