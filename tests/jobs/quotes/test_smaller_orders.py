"""Smaller sizes of an order that is refused: by its lines, each size judged as it would be promised."""

from datetime import date

from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.smaller_orders import sizes_of_asked, sizes_of_lines, sizes_of_quote
from support.quote_answers import answer, asked_for

ASKED = asked_for(date(2027, 6, 18), 50)


def test_a_size_that_stands_is_accepted_and_one_that_does_not_is_refused(desk: Desk) -> None:
    """Of 60 stems that stand 25 leave on Tuesday for anna, so 35 may be promised for Friday."""
    found, plan = answer(desk, ASKED), desk.plan()
    sizes = sizes_of_asked(desk, plan, found.trial, found.order, ASKED)

    assert [(part.count, part.stems) for part in sizes.parts] == [(50, 50)]
    assert sizes.judge((35,)).accepted
    assert not sizes.judge((36,)).accepted


def test_by_lines_and_as_asked_the_same_sizes_pass(desk: Desk) -> None:
    found, plan = answer(desk, ASKED), desk.plan()
    by_lines = sizes_of_lines(desk, plan, found.trial, found.order, 0.8)
    never_quoted = sizes_of_quote(desk, plan, found.trial, found.order, 0.8, None)

    assert by_lines.parts == never_quoted.parts
    for sizes in (by_lines, never_quoted):
        assert [sizes.judge((n,)).accepted for n in (20, 35, 36)] == [True, True, False]
