"""Published trials with dates: at least nine in ten fall inside the forecast's 95 % interval of the first flower.

Every trial, its source, its climate and whether it falls inside: docs/engineer/hindcast.md, printed by
`python tests/benchmarks/dated_trials.py`.
"""

from __future__ import annotations

from functools import cache

from support.dated_trials import Judged, judged

MISSES = {
    "calendula drilled in November 1997, first harvest early February",
}


@cache
def trials() -> tuple[Judged, ...]:
    """Every trial."""
    return tuple(judged())


def test_at_least_nine_in_ten_published_trials_fall_inside_the_95_percent_interval() -> None:
    real = [found for found in trials() if not found.trial.is_advice]

    assert len(real) >= 15
    assert sum(found.is_inside for found in real) >= 0.9 * len(real)


def test_trials_and_growers_guides_together_are_inside_in_more_than_eight_of_ten() -> None:
    assert sum(found.is_inside for found in trials()) > 0.8 * len(trials())


def test_the_intervals_are_no_barn_doors() -> None:
    """Two thirds of the published dates lie within three and a half weeks of the median, and no interval is endless."""
    near = [found for found in trials() if abs((found.trial.middle - found.median).days) <= 25]

    assert len(near) >= len(trials()) * 2 / 3
    assert sorted((found.high - found.low).days for found in trials())[len(trials()) // 2] <= 63


def test_the_misses_are_the_ones_that_are_written_down() -> None:
    assert {found.trial.what for found in trials() if not found.is_inside} == MISSES
