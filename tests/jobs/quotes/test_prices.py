"""What the lines of a quote keep as their price: agreed while stems are held, else the list's of the day."""

from dataclasses import replace
from datetime import date

from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.prices import priced_answer
from support.quote_answers import answer, asked_for

DUE = date(2027, 6, 18)


def kept(desk: Desk, **before: object) -> tuple[int | None, int | None]:
    """Price and stems of the bunch that a line of ten keeps; `before` is what was agreed for it."""
    found = answer(desk, asked_for(DUE, 10))
    (line,) = found.draft.order_lines
    was = [replace(line, **before)] if before else []  # type: ignore[arg-type]
    (now,) = priced_answer(found, was, today=desk.today()).draft.order_lines
    return now.bunch_price_minor, now.bunch_stems


def test_a_new_line_keeps_the_price_of_the_list(desk: Desk) -> None:
    assert kept(desk) == (450, 10)


def test_a_line_that_asks_the_same_keeps_what_was_agreed_of_however_many_stems(desk: Desk) -> None:
    assert kept(desk, bunch_price_minor=380, bunch_stems=12, stems=99) == (380, 12)


def test_a_line_that_asks_another_length_is_priced_anew(desk: Desk) -> None:
    assert kept(desk, bunch_price_minor=380, bunch_stems=12, min_length_cm=60) == (450, 10)
