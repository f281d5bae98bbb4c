"""The two parts of an order as lines: what stands today ranks before what is sown for, and never shares a key."""

from dataclasses import replace
from datetime import date

from haulm.farm.words import OrderPart
from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.order_parts import (
    TwoParts,
    draft_of_parts,
    farm_with,
    lines_of_parts,
    lines_of_size,
    promised_at,
)
from support.farms import farm, order, order_line
from support.quote_answers import asked_for

ASKED = asked_for(date(2027, 6, 18), 20, 10)
STANDS, SOWN = OrderPart.STANDS, OrderPart.SOWN


def test_the_larger_part_is_both_together() -> None:
    assert TwoParts((3, 0), (1, 2)).larger == (4, 2)


def test_each_part_has_lines_of_its_own_and_what_stands_ranks_first(desk: Desk) -> None:
    plan = desk.plan()
    lines = lines_of_parts(TwoParts((15, 10), (5, 0)), "q1", lambda n: lines_of_size(plan, ASKED, "q1", n))

    assert [(line.part, line.stems) for line in lines] == [(STANDS, 15), (STANDS, 10), (SOWN, 5)]
    keys = [line.key for line in lines]
    assert keys == sorted(keys) and len(set(keys)) == 3


def test_a_draft_of_both_asks_what_both_ask(desk: Desk) -> None:
    found = draft_of_parts(desk.plan(), ASKED, "q1", TwoParts((15, 0), (5, 10)))
    assert sum(line.stems for line in found.order_lines) == 30


def test_an_orders_lines_take_the_place_of_those_it_had_and_nobody_elses() -> None:
    other = order_line("party-1", order="party", stems=4)
    before = farm(orders=(order(), order("party")), order_lines=(order_line(), other))
    now = farm_with(before, order(), promised_at([order_line("wedding-9", stems=7)], 0.9))

    assert {(line.key, line.stems, line.promised_confidence) for line in now.order_lines} == {
        ("party-1", 4, other.promised_confidence),
        ("wedding-9", 7, 0.9),
    }
    assert replace(now, order_lines=(), orders=()) == replace(before, order_lines=(), orders=())
