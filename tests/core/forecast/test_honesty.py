"""The honesty board over simulated seasons whose truth is known: what was said at 80 % comes true four times in five.

The truth of a season is one season of a draw with another seed, so weather, pace and vigour are shared by all that
was said of it, as in life.
"""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np

from haulm.forecast.percentiles import quantiles
from haulm.forecast.scoring import Judged, Verdict, inside, kept, pinball_skill, ranks_among_stated, standing
from haulm.forecast.supply import forecast
from support.forecast_builders import crop, setting, sowing, yearly_climate
from support.scale import count

LEVELS = np.array([0.05, 0.1, 0.2, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95])
FIRST_WEEK, WEEKS = date(2027, 6, 14), 12
SEASONS_TRIED = count(240, 1000)


@cache
def week_stems(seed: int) -> np.ndarray:
    """Stems of six batches in twelve weeks, shape (batches, weeks, seasons)."""
    kinds = [crop(key=f"kind {at}", weeks_to_flower=10.0 + at) for at in range(3)]
    batches = [
        sowing(day, key=f"{kind.key} {day}", variety=kind.key, crop=kind)
        for kind in kinds
        for day in ("2027-04-05", "2027-05-03")
    ]
    made = forecast(batches, yearly_climate(20), setting(seed=seed, seasons=SEASONS_TRIED))
    found = []
    for batch in batches:
        stems = sum(made.batch_ready_stems(batch, FIRST_WEEK, 7 * WEEKS).values())
        found.append(stems.reshape(WEEKS, 7, -1).sum(axis=1))
    return np.array(found)


def said() -> np.ndarray:
    """What was said of each batch and week, shape (batches x weeks, levels)."""
    stems = week_stems(1)
    return quantiles(stems.reshape(-1, stems.shape[2]), tuple(LEVELS)).T


def truth(season: int) -> np.ndarray:
    """What came in a season of the other draw, shape (batches x weeks,)."""
    return week_stems(2)[:, :, season].reshape(-1).astype(float)


def spoken_of() -> np.ndarray:
    """Weeks of which something was said: four seasons in five have stems."""
    return said()[:, 2] >= 1


def board(seasons: tuple[int, ...]) -> dict[str, Judged]:
    """Promises at 80 %, season by season."""
    promised = np.floor(said()[spoken_of(), 2])
    sure = np.zeros(len(promised), bool)
    return {str(season): kept(promised, truth(season)[spoken_of()], sure) for season in seasons}


def test_three_seasons_of_a_true_forecast_are_within_sampling_error_of_80_percent() -> None:
    """The band holds nine of ten such boards, were 0.2 just the likeness of two promises of a season."""
    boards = [standing(0.8, board((at, at + 1, at + 2))) for at in range(0, SEASONS_TRIED - 2, 3)]

    within = sum(found.band[0] <= found.judged.held <= found.band[1] for found in boards)
    assert within / len(boards) >= 0.85
    assert sum(found.verdict is Verdict.TOO_BOLD for found in boards) / len(boards) <= 0.1


def test_over_many_seasons_promises_at_80_percent_are_kept_four_times_in_five() -> None:
    found = standing(0.8, board(tuple(range(SEASONS_TRIED))))

    assert 0.76 <= found.judged.share <= 0.86
    assert found.verdict is Verdict.AS_STATED


def test_over_many_seasons_the_80_and_50_percent_intervals_hold_as_often_as_they_say() -> None:
    stated = said()[spoken_of()]
    sure = np.zeros(len(stated), bool)
    came = [truth(season)[spoken_of()] for season in range(SEASONS_TRIED)]

    for low, high, level in ((1, 7, 0.8), (3, 5, 0.5)):
        judged = [inside(np.floor(stated[:, low]), np.ceil(stated[:, high]), one, sure) for one in came]
        share = sum(item.held for item in judged) / sum(item.decided for item in judged)
        assert level - 0.04 <= share <= level + 0.06


def test_ranks_among_what_was_said_are_even() -> None:
    stated = np.tile(said()[spoken_of()], (SEASONS_TRIED, 1))
    came = np.concatenate([truth(season)[spoken_of()] for season in range(SEASONS_TRIED)])

    ranks = ranks_among_stated(stated, LEVELS, came, seed=9)
    tenths = np.histogram(ranks, bins=10, range=(0, 1))[0] / len(ranks)
    assert np.all(np.abs(tenths - 0.1) < 0.04)


def test_what_was_said_beats_the_one_number_of_a_fixed_rule() -> None:
    stated = np.tile(said()[spoken_of()], (SEASONS_TRIED, 1))
    came = np.concatenate([truth(season)[spoken_of()] for season in range(SEASONS_TRIED)])
    mean = np.tile(week_stems(1).mean(axis=2).reshape(-1)[spoken_of()], SEASONS_TRIED)

    assert pinball_skill(stated, LEVELS, came, mean) > 0.2


def test_a_forecast_that_says_twice_too_much_is_found_out_over_the_seasons() -> None:
    promised = np.floor(2 * said()[spoken_of(), 2])
    sure = np.zeros(len(promised), bool)
    judged = {str(season): kept(promised, truth(season)[spoken_of()], sure) for season in range(6)}

    assert standing(0.8, judged).verdict is Verdict.TOO_BOLD
