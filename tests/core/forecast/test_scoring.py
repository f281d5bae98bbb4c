"""Scoring: coverage, loss, ranks, kept shares and verdicts, and that a true forecast is found to be one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, binom

from haulm.forecast.scoring import (
    Judged,
    Verdict,
    independent_number,
    inside,
    kept,
    no_news_band,
    pinball_loss,
    pinball_skill,
    ranks_among_stated,
    reliability,
    standing,
    sure_share,
)

LEVELS = np.array([0.05, 0.1, 0.2, 0.5, 0.8, 0.9, 0.95])
NO = np.array([False])


def array(*values: float) -> np.ndarray:
    return np.array(values, float)


class TestWhatCountsAsTrue:
    def test_a_promise_is_kept_when_as_many_stems_were_there(self) -> None:
        found = kept(array(50, 50, 50), array(50, 49, 80), np.zeros(3, bool))

        assert found == Judged(2, 3)

    def test_a_cut_alone_may_prove_a_promise_kept_and_never_broken(self) -> None:
        found = kept(array(50, 50), array(60, 20), np.ones(2, bool))

        assert found == Judged(1, 1, open_cases=1)

    def test_a_cut_alone_counts_against_an_interval_only_above_it(self) -> None:
        found = inside(array(10, 10, 10), array(20, 20, 20), array(5, 15, 25), np.ones(3, bool))

        assert found == Judged(0, 1, open_cases=2)

    def test_the_ends_of_an_interval_are_inside(self) -> None:
        assert inside(array(10, 10), array(20, 20), array(10, 20), np.zeros(2, bool)).held == 2


class TestLoss:
    def test_at_the_median_the_loss_is_half_the_error(self) -> None:
        assert pinball_loss(array(10)[None], array(0.5), array(16))[0] == pytest.approx(3)

    def test_a_high_level_forgives_stating_too_much_more_than_too_little(self) -> None:
        too_much, too_little = pinball_loss(array(20, 0)[:, None], array(0.9), array(10, 10))

        assert (too_much, too_little) == pytest.approx((1, 9))

    def test_the_true_quantiles_lose_least(self) -> None:
        came = np.random.default_rng(1).normal(100, 10, 4000)
        right = np.repeat(100 + 10 * array(-1.2816, 0, 1.2816)[None], len(came), axis=0)
        levels = array(0.1, 0.5, 0.9)

        best = pinball_loss(right, levels, came).mean()
        assert all(pinball_loss(right + shift, levels, came).mean() > best for shift in (-4, 4))
        assert pinball_skill(right, levels, came, np.full(len(came), 100.0)) > 0.2

    def test_no_loss_on_either_side_is_no_skill(self) -> None:
        assert pinball_skill(array(5)[None], array(0.5), array(5), array(5)) == 0


class TestRanks:
    def test_ranks_of_what_was_stated_rightly_are_uniform(self) -> None:
        rng = np.random.default_rng(2)
        came = rng.normal(size=5000)
        stated = np.repeat(np.array([[-1.6449, -1.2816, -0.8416, 0, 0.8416, 1.2816, 1.6449]]), 5000, axis=0)

        ranks = ranks_among_stated(stated, LEVELS, came, seed=3)
        assert np.histogram(ranks, bins=10, range=(0, 1))[0] / 5000 == pytest.approx(np.full(10, 0.1), abs=0.02)

    def test_at_a_jump_the_rank_is_drawn_from_all_the_shares_it_covers(self) -> None:
        stated = np.repeat(np.array([[0, 0, 0, 0, 5, 8, 9.0]]), 4000, axis=0)

        ranks = ranks_among_stated(stated, LEVELS, np.zeros(4000), seed=4)
        assert ranks.min() < 0.01
        assert 0.49 < ranks.max() <= 0.5

    def test_halfway_between_two_quantiles_is_halfway_between_their_levels(self) -> None:
        stated = np.array([[0, 1, 2, 10, 20, 30, 40.0]])

        assert ranks_among_stated(stated, LEVELS, array(15), seed=5)[0] == pytest.approx(0.65)


def test_reliability_points_lie_on_the_line_for_statements_that_come_true_as_often_as_said() -> None:
    rng = np.random.default_rng(6)
    stated = rng.uniform(0.5, 1, 20_000)
    held = rng.random(20_000) < stated

    points = reliability(stated, held, (0.5, 0.6, 0.7, 0.8, 0.9, 1.0))
    assert len(points) == 5
    assert all(abs(point.judged.share - point.stated) < 0.03 for point in points)


class TestShareOfPromisesKept:
    @pytest.mark.parametrize(
        ("held", "decided", "mean", "low", "high"),
        [(8, 10, 0.80, 0.68, 0.90), (6, 10, 0.70, 0.57, 0.82), (33, 40, 0.82, 0.75, 0.89)],
    )
    def test_known_cases(self, held: int, decided: int, mean: float, low: float, high: float) -> None:
        """By hand from tables of the beta distribution, two decimals."""
        found = sure_share(held, decided)

        assert (found.mean, found.low, found.high) == pytest.approx((mean, low, high), abs=0.0051)

    @given(st.integers(0, 60), st.integers(0, 60))
    def test_the_range_agrees_with_a_statistics_library(self, held: int, broken: int) -> None:
        found = sure_share(held, held + broken)

        assert (found.low, found.high) == pytest.approx(beta.ppf([0.1, 0.9], 8 + held, 2 + broken), abs=1e-6)

    @pytest.mark.parametrize(("decided", "band"), [(10, (6, 10)), (20, (13, 19)), (40, (28, 36)), (80, (58, 70))])
    def test_the_band_that_is_no_news(self, decided: int, band: tuple[int, int]) -> None:
        """The exact binomial distribution at 80 %."""
        assert no_news_band(decided, 0.8) == band

    @given(st.integers(1, 200), st.floats(0.05, 0.95))
    def test_the_band_agrees_with_a_statistics_library(self, decided: int, level: float) -> None:
        low, high = no_news_band(decided, level)

        assert binom.cdf(low - 1, decided, level) < 0.05 + 1e-9
        assert binom.cdf(high, decided, level) >= 0.95 - 1e-9


class TestSeasonsTogether:
    def test_promises_of_one_season_are_worth_few_independent_ones(self) -> None:
        assert independent_number((40,)) == pytest.approx(4.5, abs=0.1)
        assert independent_number((40, 40, 40, 40)) == pytest.approx(18, abs=0.5)
        assert independent_number((1,) * 7) == pytest.approx(7)

    def test_one_bad_season_is_no_verdict(self) -> None:
        assert standing(0.8, {"2027": Judged(20, 60)}).verdict is Verdict.TOO_EARLY

    def test_four_seasons_that_keep_four_in_five_are_as_stated(self) -> None:
        assert standing(0.8, {str(year): Judged(32, 40) for year in range(4)}).verdict is Verdict.AS_STATED

    def test_four_seasons_that_keep_half_are_too_bold(self) -> None:
        assert standing(0.8, {str(year): Judged(20, 40) for year in range(4)}).verdict is Verdict.TOO_BOLD

    def test_many_seasons_that_keep_all_are_too_careful(self) -> None:
        assert standing(0.8, {str(year): Judged(40, 40) for year in range(9)}).verdict is Verdict.TOO_CAREFUL

    def test_nothing_judged_stands_at_the_prior(self) -> None:
        found = standing(0.8, {})

        assert (found.share.mean, found.verdict) == (0.8, Verdict.TOO_EARLY)

    @given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)), max_size=5))
    def test_the_seasons_add_up(self, counts: list[tuple[int, int]]) -> None:
        found = standing(0.8, {str(at): Judged(held, held + broken) for at, (held, broken) in enumerate(counts)})

        assert (found.judged.held, found.judged.decided) == (sum(a for a, _ in counts), sum(a + b for a, b in counts))
        assert 0 <= found.share.low <= found.share.mean <= found.share.high <= 1
