"""Typical seasons: a poor, a middling and a good one, picked from those that were drawn so that each could happen.

Percentiles week by week belong to no season: a batch that surely flowers in some week may have a median of zero in
every one. A season that was drawn has its stems in the weeks in which they come together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from haulm.farm.weeks import Week

TYPICAL = (("poor", 0.1), ("middling", 0.5), ("good", 0.9))
"""What typical seasons are called, and the share of seasons that give less."""
BAND = 0.05
"""How far from that share a season that stands for it may lie, to either side."""


@dataclass(frozen=True, slots=True)
class TypicalSeason:
    """A season that could happen: what it is called, its stems in all, and week by week from its first to its last."""

    name: str
    stems: int
    weeks: tuple[tuple[Week, int], ...]

    def __post_init__(self) -> None:
        assert self.stems == sum(stems for _, stems in self.weeks), "the weeks of a season share out all of its stems"


def typical_seasons(
    stems: npt.NDArray[np.int32], weights: npt.NDArray[np.float64] | None = None
) -> tuple[int, int, int] | None:
    """The numbers of a poor, a middling and a good season among those that give stems.

    Args:
        stems: by day or week and season, shape (rows, seasons) [stems].
        weights: of the seasons, shape (seasons,); None where all are equal.

    Returns:
        Three of the seasons, their stems in all never falling; None where no season gives a stem.

    Source: the project's own rule. Seasons stand in the order of their stems in all; those within 5 points of weight
    of 10, 50 and 90 % (the nearest, where none is) are alike, and of these the one whose middle row, by which half its
    stems have come, is nearest to the weighted median of theirs stands for all.
    """
    total = stems.sum(axis=0, dtype=np.int64)
    gives = np.flatnonzero(total)
    if not len(gives):
        return None
    share = np.ones(len(total)) if weights is None else weights
    middle = _middle_rows(stems[:, gives], total[gives])
    order = np.lexsort((gives, middle, total[gives]))
    gives, middle = gives[order], middle[order]
    weight = share[gives] / share[gives].sum()
    place = np.cumsum(weight) - weight / 2
    poor, middling, good = (int(gives[_one_near(place, level, middle, weight)]) for _, level in TYPICAL)
    return poor, middling, good


def typical_by_week(
    stems: npt.NDArray[np.int32], weeks: Sequence[Week], weights: npt.NDArray[np.float64] | None = None
) -> tuple[TypicalSeason, ...]:
    """The typical seasons, week by week.

    Args:
        stems: by day or week and season, shape (rows, seasons) [stems].
        weeks: the week of each row, never falling.
        weights: of the seasons, shape (seasons,); None where all are equal.

    Returns:
        A poor, a middling and a good one, each with its weeks from the first to the last with stems; none where no
        season gives a stem.

    Source: `typical_seasons`.
    """
    found = typical_seasons(stems, weights)
    if found is None:
        return ()
    return tuple(_season(name, weeks, stems[:, at]) for (name, _), at in zip(TYPICAL, found, strict=True))


def side_by_side(seasons: Sequence[TypicalSeason]) -> tuple[tuple[Week, tuple[int, ...]], ...]:
    """Every week from the first in which some of the seasons has stems to the last, with the stems of each [stems]."""
    if not seasons:
        return ()
    found = [min(one.weeks[0][0] for one in seasons)]
    last = max(one.weeks[-1][0] for one in seasons)
    while found[-1] < last:
        found.append(found[-1].plus(1))
    counts = [dict(one.weeks) for one in seasons]
    return tuple((week, tuple(count.get(week, 0) for count in counts)) for week in found)


def _middle_rows(stems: npt.NDArray[np.int32], total: npt.NDArray[np.int64]) -> npt.NDArray[np.intp]:
    """The row by which half the stems of each season have come, shape (seasons,)."""
    running = np.cumsum(stems, axis=0, dtype=np.int64)
    return np.asarray(np.argmax(2 * running >= total, axis=0), dtype=np.intp)


def _one_near(
    place: npt.NDArray[np.float64], level: float, middle: npt.NDArray[np.intp], weight: npt.NDArray[np.float64]
) -> int:
    """Of the seasons whose place is near a level, the one that comes when most of them do."""
    away = np.abs(place - level)
    near = np.flatnonzero(away <= BAND)
    if not len(near):
        return int(np.argmin(away))
    usual = _median(middle[near], weight[near])
    # Equally timed ones by their place, then by the order of their stems, so that there is one answer.
    return int(near[np.lexsort((near, away[near], np.abs(middle[near] - usual)))[0]])


def _median(values: npt.NDArray[np.intp], weight: npt.NDArray[np.float64]) -> int:
    order = np.argsort(values, kind="stable")
    running = np.cumsum(weight[order])
    return int(values[order][np.searchsorted(running, running[-1] / 2)])


def _season(name: str, weeks: Sequence[Week], stems: npt.NDArray[np.int32]) -> TypicalSeason:
    by_week: dict[Week, int] = {}
    for week, count in zip(weeks, stems.tolist(), strict=True):
        by_week[week] = by_week.get(week, 0) + count
    busy = [week for week, count in by_week.items() if count]
    found = tuple((week, count) for week, count in by_week.items() if busy[0] <= week <= busy[-1])
    return TypicalSeason(name, int(stems.sum()), found)
