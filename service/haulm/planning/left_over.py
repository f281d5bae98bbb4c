"""Stems left over for the stall or for drying, by week: what the match gives to nobody else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.weeks import Week
from haulm.farm.words import Form, LineClass
from haulm.forecast.percentiles import LEVELS, whole_quantiles
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.left_over import left_over
from haulm.matching.windows import Window

WEEKS_AHEAD = 53


@dataclass(frozen=True, slots=True)
class WeekLeft:
    """Fresh stems of a product left over in a week: the 10th, 50th and 90th percentile, rounded down."""

    product: Product
    week: Week
    stems: tuple[int, int, int]


def left_by_week(result: MatchResult, today: date) -> tuple[WeekLeft, ...]:
    """Fresh stems left over in each week of the coming year, by product and week; weeks without any are left out.

    Every line but the stall's keeps what it was given. A stem is counted once, in the first week in which it may leave.

    Args:
        result: a match over the seasons.
        today: the first day on which stems may leave.
    """
    weeks = [Week.of(today).plus(number) for number in range(WEEKS_AHEAD)]
    dues = [day for week in weeks for day in _days(week) if day >= today]
    rows = np.array([weeks.index(Week.of(day)) for day in dues])
    windows = [Window(day) for day in dues]
    found: list[WeekLeft] = []
    for product in sorted(result.supply.by_product):
        if product.form is Form.DRIED:
            continue
        stems = left_over(result, product, windows, _is_promised)
        by_week = np.zeros((len(weeks), result.supply.seasons), np.int32)
        np.add.at(by_week, rows, stems)
        levels = whole_quantiles(by_week, LEVELS, result.supply.weights)
        found += [WeekLeft(product, weeks[row], left) for row, left in _some(levels)]
    return tuple(found)


def _is_promised(line: DatedLine) -> bool:
    return line.line_class is not LineClass.STALL


def _days(week: Week) -> Iterator[date]:
    first = week.monday
    return (first + timedelta(days=number) for number in range(7))


def _some(levels: np.ndarray[tuple[int, int], np.dtype[np.int_]]) -> Iterator[tuple[int, tuple[int, int, int]]]:
    """The rows that have stems in a good season at least."""
    for row, (low, middle, high) in enumerate(levels.T.tolist()):
        if high > 0:
            yield row, (low, middle, high)
