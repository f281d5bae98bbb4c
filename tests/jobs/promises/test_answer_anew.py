"""A quote answered anew asks what it asked before, except who lives where the flowers go."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.advice.pieces import PieceAsked
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.words import Home
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.answer_anew import anew_ready, answer_anew
from haulm.jobs.promises.final_numbers import asked_before
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from support.desks import done
from support.known_farm import known_farm

FRIDAY = date(2027, 6, 18)
CATS = (next(iter(Home)),)


@pytest.fixture
def desk(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """The farm of known stems with a recipe of its own."""
    return open_desk(known_farm(recipes="piece,role,stems\nlittle jar,texture,3"))


def quoted(desk: Desk, asked: QuoteAsked) -> str:
    return done(desk, lambda work: quote_wedding(desk, work, asked)).order.key


def jars(desk: Desk) -> str:
    return quoted(desk, QuoteAsked(FRIDAY, (PieceAsked("little jar", 5),), palette="cream", due_date=FRIDAY))


def before(desk: Desk, key: str) -> QuoteAsked:
    return done(desk, lambda work: asked_before(work, key))


def test_all_is_asked_as_it_was(desk: Desk) -> None:
    key = jars(desk)
    was = before(desk, key)

    done(desk, lambda work: answer_anew(desk, work, key))

    assert before(desk, key) == was
    assert len(desk.store.entries_of("quote-changed", about=f"orders/{key}")) == 1


def test_homes_that_are_said_take_the_place_of_those_before_and_are_left_where_none_are_said(desk: Desk) -> None:
    key = jars(desk)
    was = before(desk, key)

    done(desk, lambda work: answer_anew(desk, work, key, homes=CATS))
    assert before(desk, key) == replace(was, homes=CATS)
    done(desk, lambda work: answer_anew(desk, work, key))
    assert before(desk, key).homes == CATS
    done(desk, lambda work: answer_anew(desk, work, key, homes=()))
    assert before(desk, key).homes == ()


def test_what_was_worked_out_before_is_the_answer_that_is_written(desk: Desk) -> None:
    key = jars(desk)
    ready = anew_ready(desk, key, CATS)
    assert ready is not None and ready.asked.homes == CATS

    made = done(desk, lambda work: answer_anew(desk, work, key, homes=CATS, ready=ready))

    other = jars(desk)
    plain = done(desk, lambda work: answer_anew(desk, work, other, homes=CATS))
    assert [replace(line, line="") for line in made.version.lines] == [
        replace(line, line="") for line in plain.version.lines
    ]
    assert made.version.price == plain.version.price


def test_nothing_is_worked_out_before_of_what_holds_stems_or_has_no_pieces_or_is_none(desk: Desk) -> None:
    held = jars(desk)
    done(desk, lambda work: contract_quote(desk, work, held))
    lines = quoted(desk, QuoteAsked(FRIDAY, lines=(OrderLine("", "", 5, Product("lagurus")),), due_date=FRIDAY))

    assert [anew_ready(desk, key) for key in (held, lines, "nobodys")] == [None, None, None]
