"""What is news: a gap that is new or clearly surer or less sure, and a sentence that no letter has told."""

from dataclasses import replace

import pytest

from haulm.jobs.gaps.standing_gaps import DatedGap
from haulm.jobs.warning.letter_lines import WAITING
from haulm.jobs.warning.letter_news import LARGE, Compared, News, note_items, pending_items
from haulm.jobs.warning.told_gaps import ToldLetter
from support.advice_builders import dated_line, one_gap
from support.planned_farms import growing_farm, planned

PLAN = planned(growing_farm(), seasons=8)
GAP = one_gap([dated_line()], confidence=0.5)
FOUND = DatedGap(GAP, GAP)
FIRST = News(PLAN, ToldLetter(), {GAP.key: FOUND}, frozenset(), "the date")


def told_at(confidence: float) -> News:
    """The same gap, which a letter told as so sure."""
    told = replace(FIRST.told_now(FOUND), confidence=confidence)
    return replace(FIRST, told=ToldLetter(gaps={GAP.key: told}))


def test_a_gap_that_no_letter_told_is_new() -> None:
    assert FIRST.before(FOUND) is None and FIRST.change(FOUND) is Compared.NEW


@pytest.mark.parametrize(
    ("was", "change"),
    [(0.7, Compared.WORSE), (0.59, Compared.SAME), (0.5, Compared.SAME), (0.41, Compared.SAME), (0.3, Compared.BETTER)],
)
def test_another_word_of_it_takes_a_tenth(was: float, change: Compared) -> None:
    assert told_at(was).change(FOUND) is change


def test_a_gap_still_worked_out_is_told_once_and_a_large_one_first() -> None:
    (item,) = pending_items(FIRST, [])

    assert item.gaps == (GAP.key,) and item.text.endswith("what to do is still being worked out. (new)")
    assert item.is_first is (GAP.expected_missing > LARGE)
    assert list(pending_items(told_at(0.5), [])) == []


def test_a_sentence_is_told_once_and_what_is_urgent_first() -> None:
    found = list(note_items(["ring Anna", "old", "mind the frost"], frozenset({"old"}), {"ring Anna"}))

    assert [(one.section, one.text, one.is_first) for one in found] == [
        (WAITING, "ring Anna", True),
        (WAITING, "mind the frost", False),
    ]
