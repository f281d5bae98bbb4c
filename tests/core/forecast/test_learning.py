"""Learning: the prior without seasons, drawn towards the farm's own with them, seasons weighed and not batches."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.forecast.learning import PACKET_SPREAD, SPREADS, Figure, Prior, SeasonSeen, learned

STEMS = Prior(Figure.STEMS, 10.0)
FIGURES = st.sampled_from([Prior(Figure.WEEKS, 12.5), STEMS, Prior(Figure.GERMINATION, 80.0)])


def season(value: float, *, name: str = "2026", batches: int = 3, at_least: bool = False) -> SeasonSeen:
    return SeasonSeen(name, value, batches, at_least)


@given(FIGURES)
def test_without_seasons_the_result_is_the_prior(prior: Prior) -> None:
    found = learned(prior, [])

    assert (found.value, found.own, found.weight) == (prior.value, None, 0)
    assert found.low < prior.value < found.high


@given(FIGURES, st.floats(0.7, 1.2), st.integers(1, 9))
def test_the_result_lies_between_the_prior_and_the_own_seasons(prior: Prior, times: float, batches: int) -> None:
    found = learned(prior, [season(prior.value * times, batches=batches)])

    assert found.own is not None
    low, high = sorted([prior.value, found.own])
    assert low - 1e-9 <= found.value <= high + 1e-9
    assert 0 < found.weight < 1


def test_one_season_by_hand() -> None:
    """Log scale: prior 0.25 wide; a season of three batches has variance 0.18^2 + 0.24^2 / 3 = 0.0516."""
    found = learned(STEMS, [season(15.0)])

    lift = (0.18**2 + 0.24**2) / 2
    weight = 0.25**2 / (0.25**2 + 0.0516)
    assert found.value == pytest.approx(10 * exp(weight * (log(1.5) + lift)))
    assert found.weight == pytest.approx(weight)


def test_ten_batches_of_one_year_teach_less_than_one_batch_in_each_of_ten_years() -> None:
    one_year = learned(STEMS, [season(15.0, batches=10)])
    ten_years = learned(STEMS, [season(15.0, name=str(year), batches=1) for year in range(10)])

    assert STEMS.value < one_year.value < ten_years.value
    assert ten_years.high / ten_years.low < one_year.high / one_year.low


def test_the_order_of_the_seasons_does_not_matter() -> None:
    seen = [season(8.0, name="a"), season(14.0, name="b", batches=1), season(11.0, name="c")]

    assert learned(STEMS, seen).value == pytest.approx(learned(STEMS, seen[::-1]).value)


@given(st.floats(0.1, 60), st.integers(1, 10))
def test_a_lower_bound_never_teaches_a_lower_yield(bound: float, batches: int) -> None:
    found = learned(STEMS, [season(bound, batches=batches, at_least=True)])

    assert found.value >= STEMS.value - 1e-6
    assert found.own is None


def test_a_glut_left_uncut_hardly_moves_the_yield_and_a_high_lower_bound_does() -> None:
    low, high = (learned(STEMS, [season(bound, at_least=True)]) for bound in (2.0, 18.0))

    assert low.value == pytest.approx(10, rel=0.01)
    assert high.value > 12


def test_a_wider_prior_follows_the_own_seasons_further() -> None:
    usual = learned(STEMS, [season(20.0)])
    packet = learned(Prior(Figure.STEMS, 10.0, PACKET_SPREAD), [season(20.0)])

    assert packet.value > usual.value


@given(st.floats(1, 100), st.integers(1, 6))
def test_a_germination_figure_stays_a_share(share: float, seasons: int) -> None:
    found = learned(Prior(Figure.GERMINATION, 80.0), [season(share, name=str(at)) for at in range(seasons)])

    assert 0 < found.next_low < found.low < found.value < found.high < found.next_high < 100


def simulated(seasons: int, farms: int = 3000) -> tuple[float, float, float]:
    """Mean error of the log figure, width and coverage of the next batch, on farms drawn from the prior."""
    spread, rng = SPREADS[Figure.STEMS], np.random.default_rng(seasons)
    lift = spread.one_batch / 2
    errors, widths, inside = [], [], 0
    for _ in range(farms):
        truth = log(10) + spread.first * rng.standard_normal()
        years = truth - lift + spread.season * rng.standard_normal(seasons + 1)
        batches = years[:, None] + spread.own * rng.standard_normal((seasons + 1, 3))
        seen = [season(exp(row.mean()), name=str(at)) for at, row in enumerate(batches[:-1])]
        found = learned(STEMS, seen)
        errors.append(abs(log(found.value) - truth))
        widths.append(log(found.next_high / found.next_low))
        inside += found.next_low <= exp(batches[-1, 0]) <= found.next_high
    return float(np.mean(errors)), float(np.mean(widths)), inside / farms


@pytest.mark.parametrize(
    ("seasons", "error", "width"), [(0, 0.203, 1.00), (1, 0.134, 0.88), (2, 0.108, 0.84), (5, 0.076, 0.81)]
)
def test_two_seasons_halve_the_error_and_hardly_narrow_the_next_batch(seasons: int, error: float, width: float) -> None:
    """The errors are those of an earlier simulation of the same rule with other draws."""
    found_error, found_width, covered = simulated(seasons)

    assert found_error == pytest.approx(error, rel=0.08)
    assert found_width == pytest.approx(width, rel=0.02)
    assert 0.77 <= covered <= 0.83
