"""What own years teach: sizes as they were measured, a bad year that is nobody's fault, and no more than was seen."""

from __future__ import annotations

import random
from math import hypot, log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.own_years import YearSeen, learned_doubt, need_spreads, stems_spreads

DOZEN = tuple(f"v{number}" for number in range(12))
STEMS = stems_spreads(0.15, 0.5)
BOOK = 0.45


def doubts(names: tuple[str, ...], spread: float = BOOK) -> dict[str, FigureDoubt]:
    return {name: FigureDoubt(0.0, 0.9 * spread, 0.45 * spread) for name in names}


def apart(names: tuple[str, ...]) -> dict[str, str]:
    """Each variety a kind of its own."""
    return {name: f"kind of {name}" for name in names}


def left(found: FigureDoubt) -> float:
    return hypot(found.kind_sd, found.variety_sd)


def season(names: tuple[str, ...], year: int = 2026, off: float = 0.0) -> list[YearSeen]:
    return [YearSeen(year, (name,), off) for name in names]


def test_nothing_entered_is_the_default_doubt_to_the_last_digit() -> None:
    before = doubts(DOZEN)

    assert learned_doubt(before, apart(DOZEN), [], STEMS) == before


def test_one_season_of_a_dozen_kinds_leaves_a_fifth_and_of_one_kind_alone_more_than_a_quarter() -> None:
    together = learned_doubt(doubts(DOZEN), apart(DOZEN), season(DOZEN), STEMS)
    alone = learned_doubt(doubts(DOZEN), apart(DOZEN), season(DOZEN[:1]), STEMS)

    assert left(together["v0"]) == pytest.approx(0.20, abs=0.01)
    assert left(alone["v0"]) == pytest.approx(0.28, abs=0.01)
    assert left(alone["v1"]) == pytest.approx(left(doubts(DOZEN)["v1"]))


def test_a_bad_year_over_all_kinds_is_not_learned_as_poor_kinds() -> None:
    usual = learned_doubt(doubts(DOZEN), apart(DOZEN), season(DOZEN), STEMS)["v0"]
    halved = learned_doubt(doubts(DOZEN), apart(DOZEN), season(DOZEN, off=log(0.5)), STEMS)["v0"]
    one_kind = season(DOZEN[:1], off=log(0.5)) + season(DOZEN[1:])
    poor = learned_doubt(doubts(DOZEN), apart(DOZEN), one_kind, STEMS)["v0"]

    assert usual.shift - halved.shift < 0.12
    assert usual.shift - poor.shift > 0.45


def test_a_good_year_and_a_bad_one_say_together_what_two_usual_ones_do() -> None:
    usual = season(DOZEN, 2025) + season(DOZEN, 2026)
    unlike = season(DOZEN, 2025, log(1.25)) + season(DOZEN, 2026, -log(1.25))

    one, other = (learned_doubt(doubts(DOZEN), apart(DOZEN), seen, STEMS)["v0"] for seen in (usual, unlike))
    assert one.shift == pytest.approx(other.shift, abs=1e-9)


def test_cultivars_of_a_kind_learn_from_each_other_and_other_kinds_do_not() -> None:
    names = ("white", "apricot", "peony")
    kinds = {"white": "zinnia", "apricot": "zinnia", "peony": "peony"}
    seen = season(("white",), off=log(0.6))

    found = learned_doubt(doubts(names), kinds, seen, STEMS)

    assert found["white"].shift < found["apricot"].shift < -0.1
    assert found["peony"].shift == pytest.approx(0.0, abs=1e-9)
    assert left(found["white"]) < left(found["apricot"]) < left(found["peony"])


def test_a_total_of_a_kind_moves_its_varieties_alike() -> None:
    names = ("white", "apricot")
    kinds = dict.fromkeys(names, "zinnia")

    found = learned_doubt(doubts(names), kinds, [YearSeen(2026, names, log(0.7))], STEMS)

    assert found["white"].shift == pytest.approx(found["apricot"].shift)
    assert found["white"].shift < -0.1


def test_first_cuts_of_a_season_narrow_the_weeks() -> None:
    found = learned_doubt(doubts(DOZEN, 0.10), apart(DOZEN), season(DOZEN), need_spreads())

    assert left(found["v0"]) == pytest.approx(0.066, abs=0.005)
    assert found["v0"].shift == pytest.approx(0.0)


ROWS = st.lists(
    st.builds(
        YearSeen,
        st.integers(2020, 2026),
        st.sampled_from((("a",), ("b",), ("c",), ("a", "b"))),
        st.floats(-1.5, 1.5, allow_nan=False),
    ),
    max_size=6,
)
KINDS = {"a": "one", "b": "one", "c": "two"}


@given(ROWS, st.randoms(use_true_random=False))
def test_the_order_of_entry_does_not_matter(rows: list[YearSeen], order: random.Random) -> None:
    shuffled = list(rows)
    order.shuffle(shuffled)

    before = doubts(("a", "b", "c"))
    assert learned_doubt(before, KINDS, rows, STEMS) == learned_doubt(before, KINDS, shuffled, STEMS)


@given(ROWS, ROWS)
def test_more_years_never_widen(rows: list[YearSeen], more: list[YearSeen]) -> None:
    before = doubts(("a", "b", "c"))
    some, all_of_them = (learned_doubt(before, KINDS, seen, STEMS) for seen in (rows, rows + more))

    for name, start in before.items():
        assert left(all_of_them[name]) <= left(some[name]) + 1e-9 <= left(start) + 2e-9
