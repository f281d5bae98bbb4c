"""How sure something is, in words: one table, never surer than it is."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.certainty import certainty, for_florist

SHARES = st.floats(0, 1)
FLORISTS = ("nearly surely missing", "may be short", "likely", "we count on it")


@pytest.mark.parametrize(
    ("sure", "words"),
    [
        (1.0, "in nearly every summer"),
        (0.95, "in nearly every summer"),
        (0.9499, "in 9 summers of ten"),
        (0.81, "in 8 summers of ten"),
        (0.8, "in 8 summers of ten"),
        (0.7999, "in 7 summers of ten"),
        (0.19, "in 1 summer of ten"),
        (0.0999, "in hardly any summer"),
        (0.0, "in hardly any summer"),
    ],
)
def test_a_couple_reads_summers(sure: float, words: str) -> None:
    assert certainty(sure) == words


@pytest.mark.parametrize(
    ("sure", "level", "words"),
    [
        (0.96, 0.8, "we count on it"),
        (0.96, 0.98, "may be short"),
        (0.94, 0.65, "likely"),
        (0.65, 0.65, "likely"),
        (0.6499, 0.65, "may be short"),
        (0.5, 0.65, "may be short"),
        (0.4999, 0.65, "nearly surely missing"),
    ],
)
def test_a_florist_reads_whether_to_count_on_it(sure: float, level: float, words: str) -> None:
    assert for_florist(sure, level) == words


def test_what_is_packed_is_there() -> None:
    assert (for_florist(0.2, 0.8, is_settled=True), certainty(0.2, is_settled=True)) == ("settled", "it is there")


@given(SHARES)
def test_a_couple_is_never_told_more_summers_than_there_are_and_never_a_percentage(share: float) -> None:
    words = certainty(share)
    number = re.search(r"\d+", words)
    assert "%" not in words
    if number is not None:
        assert int(number[0]) <= share * 10 + 1e-6 < int(number[0]) + 1 + 1e-6


@given(SHARES, SHARES, st.floats(0.05, 0.99))
def test_what_is_surer_is_never_said_to_be_less_sure(one: float, other: float, level: float) -> None:
    few, many = sorted((one, other))
    assert FLORISTS.index(for_florist(few, level)) <= FLORISTS.index(for_florist(many, level))
