"""Ticks that seed is at home or ordered: they hold for a while, are written once, and can be taken back."""

from datetime import timedelta

import pytest

from haulm.errors import NotAccepted, NotFound
from haulm.farm.words import InHand, Method, Needed
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.tick_at_home import (
    TAKEN_BACK,
    TICKED,
    TickAsked,
    needs_of,
    tick_at_home,
    ticks_kept,
    what_and_state,
)
from support.desks import MONDAY, done, on
from support.farms import batch, farm, variety

SEED = TickAsked("lagurus", Needed.SEED, InHand.AT_HOME)


def ticked(desk: Desk, asked: TickAsked) -> str:
    """The sentence after a tick."""
    return done(desk, lambda work: tick_at_home(desk, work, asked)).sentence


def test_a_tick_is_written_once_and_can_be_taken_back(desk: Desk) -> None:
    assert ticked(desk, SEED).startswith("Seed of Bunny tail: at home, ticked on Mon 14 Jun 2027; that holds until ")
    ticked(desk, SEED)
    assert len(desk.store.entries_of(TICKED)) == 1

    said = ticked(desk, TickAsked("lagurus", Needed.SEED, None))
    assert said == "Seed of Bunny tail: neither at home nor ordered."
    assert ticks_kept(desk) == ()


def test_a_tick_that_held_is_shown_and_asks_somebody_to_look(desk: Desk) -> None:
    ticked(desk, SEED)
    (need,) = ticks_kept(desk)
    assert need.holds and need.until is not None
    on(desk, need.until + timedelta(days=1))

    (late,) = ticks_kept(desk)
    assert not late.holds and late.sentence.endswith("look whether it is still there.")


@pytest.mark.parametrize(
    "asked", [TickAsked("rose", Needed.SEED, InHand.ORDERED), TickAsked("lagurus", Needed.SEED, None)]
)
def test_a_tick_needs_a_variety_and_taking_back_needs_a_tick(desk: Desk, asked: TickAsked) -> None:
    with pytest.raises(NotFound):
        ticked(desk, asked)


def test_what_batches_are_begun_from_is_named_once() -> None:
    rows = farm(varieties=(variety(), variety("dahlia")))
    batches = [batch("b1"), batch("b2"), batch("d1", variety="dahlia", method=Method.TUBER)]

    found = needs_of(rows, MONDAY, [*batches, batch("b3", method=Method.ESTABLISHED)])
    assert [(need.variety, need.what, need.holds) for need in found] == [
        ("lagurus", Needed.SEED, False),
        ("dahlia", Needed.TUBERS, False),
    ]


def test_other_words_than_those_of_a_tick_are_refused() -> None:
    assert what_and_state("seed", TAKEN_BACK) == (Needed.SEED, None)
    for what, state in (("soil", "ordered"), ("seed", "lost")):
        with pytest.raises(NotAccepted):
            what_and_state(what, state)
