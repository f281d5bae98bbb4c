"""The most stems that may be promised, found with few judgements."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.acceptance import Fall, Verdict
from haulm.advice.floors import Guarded
from haulm.advice.may_promise import MayPromise, may_promise
from support.advice_builders import dated_line

MOST = 1_000
LINE = dated_line("a-line")
FALL = Fall(Guarded(LINE.order, LINE.due, LINE.line), (LINE,), 0.8, 0.8, 0.1)
NUMBERS = st.integers(0, MOST)


def asked(passing: set[int], guess: int) -> tuple[MayPromise, list[int]]:
    """The answer where these numbers pass, and the numbers judged."""
    tried: list[int] = []

    def judge(stems: int) -> Verdict:
        tried.append(stems)
        return Verdict(0.8, (), 1.0, () if stems in passing else (FALL,))

    return may_promise(judge, free=guess, most=MOST), tried


@given(NUMBERS, NUMBERS)
def test_where_acceptance_ends_once_it_is_found(most: int, guess: int) -> None:
    found, tried = asked(set(range(1, most + 1)), guess)

    assert found.stems == most
    assert len(tried) == len(set(tried))


@given(NUMBERS, st.sampled_from([0, 1, 2, 3]))
def test_a_good_guess_asks_few_judgements(most: int, off: int) -> None:
    _, tried = asked(set(range(1, most + 1)), most + off)

    assert len([stems for stems in tried if stems <= most + off + 1]) <= 6


@given(st.sets(st.integers(1, 60)), st.integers(1, 60))
def test_whatever_passes_the_answer_does_and_one_more_does_not(passing: set[int], guess: int) -> None:
    found, _ = asked(passing, guess)

    assert found.stems == 0 or (found.stems in passing and found.verdict is not None and found.verdict.accepted)
    assert found.stems + 1 not in passing
    assert found.beyond is not None and not found.beyond.accepted
    near = range(found.stems + 2, found.stems + 16)
    assert found.also is None or (found.also in passing and found.also > found.stems + 1)
    assert found.also is not None or passing.isdisjoint(near)


def test_nothing_that_may_be_promised_has_no_judgement_of_it() -> None:
    found, _ = asked(set(), 7)

    assert (found.stems, found.verdict) == (0, None)
