"""What is worked out once for many batches or seasons is what it would be for each by itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.forecast.doubt_draws import stream
from haulm.forecast.overwintering import Stretch, worst_nights
from haulm.forecast.seasons import Seasons
from haulm.forecast.winter_tables import Nights
from haulm.horticulture.frost import NEVER
from haulm.horticulture.winter import Hardiness, survival
from support.winters import seasons_of

DAYS = (120, 500, 900, NEVER)


@pytest.fixture(scope="module")
def seasons() -> Seasons:
    return seasons_of("des_moines")


@given(st.lists(st.sampled_from(DAYS), min_size=1, max_size=5).filter(lambda days: min(days) < NEVER))
def test_a_first_stem_that_never_comes_goes_with_the_latest_that_does(seasons: Seasons, days: list[int]) -> None:
    found = seasons.years_of(np.array(days, dtype=np.int64))

    latest = max(day for day in days if day < NEVER)
    expected = [seasons.growing_year[min(day, latest)] for day in days]
    assert np.broadcast_to(found, (len(days),)).tolist() == expected
    assert (found.ndim == 0) == (len(set(expected)) == 1)


def test_where_no_first_stem_comes_there_is_one_year(seasons: Seasons) -> None:
    assert seasons.years_of(np.full(3, NEVER, dtype=np.int64)).ndim == 0


@given(st.integers(0, 2**32 - 1), st.text(max_size=12))
def test_a_stream_begins_alike_whenever_it_is_asked_for(seed: int, key: str) -> None:
    first, again = (stream(b"batch", key, seed).random(3) for _ in range(2))

    assert first.tolist() == again.tolist()
    assert first.tolist() != stream(b"variety", key, seed).random(3).tolist()


@given(
    st.integers(0, 2**16),
    st.floats(-10, 5),
    st.floats(0, 15),
)
def test_the_nights_looked_at_kill_as_many_as_all_nights(seed: int, soft_c: float, gained_c: float) -> None:
    rng = np.random.default_rng(seed)
    crowns = Nights.of(rng.normal(-5, 8, (60, 4)).astype(np.float32))
    hard, stage = rng.random((2, 60, 4)).astype(np.float32)
    nights = worst_nights(crowns, Stretch(10, 50), gained_c)
    hardiness, every = Hardiness(soft_c, soft_c - gained_c), slice(10, 50)

    some = survival(crowns.each[nights], hard[nights], hardiness, stage=stage[nights])
    assert some.tolist() == survival(crowns.each[every], hard[every], hardiness, stage=stage[every]).tolist()
