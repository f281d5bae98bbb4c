"""What a quote says in words of what is hoped for, stands in, and was moved."""

from dataclasses import replace
from datetime import date

from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.wording import hoped_kinds, remarks, stand_in
from support.quote_answers import answer, asked_for

DUE = date(2027, 6, 18)


def said(desk: Desk, stems: int, **of_the_line: object) -> str:
    """What stands in for a line of lagurus, in words."""
    found = answer(desk, asked_for(DUE, stems))
    (draft,) = found.draft.lines
    draft = replace(draft, line=replace(draft.line, **of_the_line))  # type: ignore[arg-type]
    return stand_in(found, draft, hoped_kinds(found, draft))


def test_where_the_kind_alone_is_expected_nothing_is_said_of_stand_ins(desk: Desk) -> None:
    assert said(desk, 10) == ""


def test_where_it_is_not_it_is_said_what_stands_in_or_that_nothing_does(desk: Desk) -> None:
    assert said(desk, 200) == "No stand-in is agreed."
    assert said(desk, 200, no_substitute=True) == "Nothing may stand in, as the customer asked."


def test_kinds_hoped_for_come_with_no_more_stems_than_are_asked(desk: Desk) -> None:
    found = answer(desk, asked_for(DUE, 20))
    (hoped,) = hoped_kinds(found, found.draft.lines[0])
    assert (hoped.product, hoped.name, hoped.stems, hoped.likelihood) == ("lagurus", "Bunny tail", 20, 1.0)


def test_a_day_that_had_to_be_moved_is_told(desk: Desk) -> None:
    found = answer(desk, asked_for(DUE, 20))
    assert remarks(found, ()) == ()
    (told,) = remarks(replace(found, moved_from=date(2027, 6, 19)), ())
    assert "Fri 18 Jun 2027" in told and "Sat 19 Jun 2027" in told
