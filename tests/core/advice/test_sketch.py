"""The quick sketch: the best that new stems alone can do for a gap's lines."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.sketch import PROBE_PLACES, Look, Sized, Sketch, rounded
from haulm.farm.products import Product
from haulm.farm.words import Method
from support.advice_builders import TODAY

DAYS = 12
WINDOWS = st.lists(st.tuples(st.integers(0, 8), st.integers(1, 4)), min_size=1, max_size=5)
STEMS = st.lists(st.integers(0, 6), min_size=DAYS, max_size=DAYS)


def agreeable(windows: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Windows whose ends rise with their starts, as those of one product do."""
    firsts = sorted(first for first, _ in windows)
    lasts = np.maximum.accumulate([first + length for first, (_, length) in zip(firsts, windows, strict=True)])
    return list(zip(firsts, lasts.tolist(), strict=True))


def look(daily: list[int], windows: list[tuple[int, int]], variety: str = "grass") -> Look:
    """A look at a sowing whose PROBE_PLACES places give these stems a day, in one season."""
    running = np.concatenate([[0], np.cumsum(daily)]).astype(np.float32)
    before = np.array([[running[first]] for first, _ in windows], np.float32)
    upto = np.array([[running[last]] for _, last in windows], np.float32)
    return Look(Candidate(Product(variety), Method.DIRECT, TODAY), before, upto)


def sketch(missing: list[int], most: list[float] | None = None, level: float = 0.8) -> Sketch:
    lacking = np.array([[stems] for stems in missing], np.float32)
    each = np.full(len(missing), np.inf, np.float32) if most is None else np.array(most, np.float32)
    return Sketch(lacking, each, np.ones(1), np.full(len(missing), level))


def served_day_by_day(daily: list[int], windows: list[tuple[int, int]], missing: list[int]) -> list[bool]:
    """The slow reference: each line in turn takes the oldest stem left in its window, one at a time."""
    left = list(daily)
    full = []
    for (first, last), wanted in zip(windows, missing, strict=True):
        got = 0
        for day in range(first, min(last, DAYS)):
            while left[day] and got < wanted:
                left[day] -= 1
                got += 1
        full.append(got == wanted)
    return full


@given(daily=STEMS, windows=WINDOWS, data=st.data())
def test_the_sketch_serves_lines_as_stem_by_stem_counting_does(
    daily: list[int], windows: list[tuple[int, int]], data: st.DataObject
) -> None:
    rising = agreeable(windows)
    missing = data.draw(st.lists(st.integers(1, 8), min_size=len(rising), max_size=len(rising)))
    sure = sketch(missing).sure([Sized(look(daily, rising), PROBE_PLACES)])
    assert (sure == 1).tolist() == served_day_by_day(daily, rising, missing)


@given(daily=STEMS, windows=WINDOWS)
def test_the_fewest_places_close_the_gap_and_clearly_fewer_do_not(
    daily: list[int], windows: list[tuple[int, int]]
) -> None:
    rising = agreeable(windows)
    seen = look(daily, rising)
    found = sketch([20] * len(rising)).least_places(seen)
    if found is not None:
        drawn = sketch([20] * len(rising))
        assert drawn.closed([Sized(seen, found)]).all()
        fewer = int(0.9 * found) - 10
        assert fewer <= 0 or not drawn.closed([Sized(seen, fewer)]).all()


def test_a_sowing_that_flowers_too_late_never_closes_anything() -> None:
    seen = look([0] * DAYS, [(0, 4)])
    assert seen.is_too_late
    assert sketch([1]).least_places(seen) is None


def test_stems_that_were_ready_too_early_are_gone() -> None:
    seen = look([50, *[0] * (DAYS - 1)], [(1, 4)])
    assert not seen.is_too_late
    assert sketch([1]).least_places(seen) is None


def test_no_product_gives_a_choice_more_than_its_most_but_two_products_together_do() -> None:
    grass, poppy = (look([30] * DAYS, [(0, 4)], variety) for variety in ("grass", "poppy"))
    drawn = sketch([20], most=[10.0])
    assert drawn.least_places(grass) is None
    assert drawn.closed([Sized(grass, PROBE_PLACES), Sized(poppy, PROBE_PLACES)]).all()


def test_less_is_wanted_the_more_lines_are_sure_and_nothing_once_all_are() -> None:
    seen = look([10] * DAYS, [(0, 4), (4, 8)])
    drawn = sketch([20, 40])
    wants = [drawn.want([Sized(seen, places)]) for places in (0, 30, 60, 100)]
    assert wants == sorted(wants, reverse=True)
    assert wants[-1] == 0


def test_a_level_is_reached_by_the_weight_of_the_seasons() -> None:
    drawn = Sketch(np.array([[0.0, 5.0]], np.float32), np.array([np.inf], np.float32), np.array([0.7, 0.3]), 0.8)
    assert drawn.sure(()).tolist() == [0.7]
    assert not drawn.closed(()).any()


@given(places=st.floats(0, 5000))
def test_places_are_rounded_up_to_tens(places: float) -> None:
    assert -1e-6 <= rounded(places) - places < 10
    assert rounded(places) % 10 == 0
