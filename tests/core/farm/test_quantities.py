"""Amounts as people read them: nothing looks surer than it is, and nothing that can be looks impossible."""

import pytest

from haulm.farm.quantities import percent, percents


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "0 %"),
        (0.0004, "<1 %"),
        (0.0099, "<1 %"),
        (0.01, "1 %"),
        (0.1 + 0.2, "30 %"),
        (0.8 - 1e-12, "80 %"),
        (0.899, "89 %"),
        (0.999, "99 %"),
        (1.0, "100 %"),
    ],
)
def test_a_share_is_rounded_down_and_what_is_possible_is_never_nought(share: float, words: str) -> None:
    assert percent(share) == words


@pytest.mark.parametrize("thousandths", range(1, 1000))
def test_a_hundred_percent_is_said_of_certainty_alone_and_nought_of_the_impossible_alone(thousandths: int) -> None:
    assert percent(thousandths / 1000) not in ("0 %", "100 %")


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        (0.5, 0.8, ("50 %", "80 %")),
        (0.719, 0.7101, ("71.9 %", "71.0 %")),
        (0.7199999, 0.71, ("71.9 %", "71.0 %")),
        (0.0042, 0.0003, ("0.4 %", "<0.1 %")),
        (0.0, 0.004, ("0 %", "<1 %")),
        (0.7, 0.7, ("70 %", "70 %")),
    ],
)
def test_two_percentages_that_would_hide_what_differs_have_one_decimal(
    before: float, after: float, words: tuple[str, str]
) -> None:
    assert percents(before, after) == words
