"""Shortfalls gathered into gaps."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.options.option import Proof
from haulm.advice.shortfalls import gaps
from haulm.farm.products import Choice, Product
from haulm.farm.words import Role
from support.advice_builders import MONDAY, dated_line, outlook


def test_a_line_that_reaches_its_level_is_in_no_gap() -> None:
    assert gaps([outlook(0.8), outlook(0.8 - 1e-12)], 0.8) == ()


def test_each_line_is_held_to_the_level_it_was_promised_at_else_to_that_of_its_class() -> None:
    lines = [
        dated_line("promised", promised_confidence=0.9),
        dated_line("usual", usual_level=0.65),
        dated_line("stall", usual_level=0.5),
    ]
    (gap,) = gaps([outlook(0.6, line) for line in lines], None)
    assert {short.line.line: short.level for short in gap.shortfalls} == {"promised": 0.9, "usual": 0.65}
    assert gaps([outlook(0.9, line) for line in lines], None) == ()


def test_a_level_that_is_asked_outranks_every_lines_own() -> None:
    lines = [dated_line("promised", promised_confidence=0.9), dated_line("usual", usual_level=0.5)]
    outlooks = [outlook(0.6, line) for line in lines]
    (gap,) = gaps(outlooks, 0.7)
    assert gap.levels == (0.7, 0.7) and gap.level == 0.7
    assert gaps(outlooks, 0.6) == ()
    assert gaps(outlooks, 0.7)[0].key == gaps(outlooks, None)[0].key


def test_a_gap_of_lines_with_levels_of_their_own_is_closed_where_each_reaches_its_own() -> None:
    lines = [dated_line("a", usual_level=0.9), dated_line("b", usual_level=0.5)]
    (gap,) = gaps([outlook(0.3, line) for line in lines], None)
    assert Proof((0.9, 0.5), 0.0).reaches(gap.levels)
    assert not Proof((0.8, 0.8), 0.0).reaches(gap.levels)
    assert Proof((0.8, 0.8), 0.0).lacks(gap.levels) == pytest.approx(0.1)


def test_weeks_that_follow_one_another_are_one_gap_and_a_week_between_parts_two() -> None:
    weeks = [0, 1, 3]
    found = gaps([outlook(0.1, dated_line(f"l{w}", due=MONDAY + timedelta(weeks=w))) for w in weeks], 0.8)
    assert [gap.key for gap in found] == ["grass-2027-W27", "grass-2027-W30"]
    assert [len(gap.shortfalls) for gap in found] == [2, 1]


def test_a_gap_is_as_sure_as_its_least_sure_line_and_lacks_what_all_lack() -> None:
    (gap,) = gaps([outlook(0.7, missing=2.0), outlook(0.4, dated_line("l2"), missing=3.5)], 0.8)
    assert gap.confidence == 0.4
    assert gap.expected_missing == 5.5


def test_spare_makes_no_gap() -> None:
    assert gaps([outlook(0.0, dated_line(is_spare=True))], 0.8) == ()


def test_a_choice_is_a_gap_of_its_own_with_a_key_that_fits_an_address() -> None:
    choice = Choice((Role.FILLER,), ("white", "green"))
    (gap,) = gaps([outlook(0.2, dated_line(product=None, choice=choice))], 0.8)
    assert gap.asked == "role=filler colour=white|green"
    assert gap.key == "role.filler.colour.white.green-2027-W27"


@given(asks=st.lists(st.tuples(st.integers(0, 20), st.sampled_from(["grass", "poppy"]), st.floats(0, 1)), max_size=30))
def test_every_unsure_line_is_in_exactly_one_gap_and_no_sure_one_in_any(asks: list[tuple[int, str, float]]) -> None:
    outlooks = [
        outlook(sure, dated_line(f"l{n}", due=MONDAY + timedelta(days=5 * days), product=Product(variety)))
        for n, (days, variety, sure) in enumerate(asks)
    ]
    inside = [short.line.line for gap in gaps(outlooks, 0.8) for short in gap.shortfalls]
    assert sorted(inside) == sorted(o.line.line for o in outlooks if o.confidence < 0.8 - 1e-9)
