"""New figures of a release: the grower is told once what they took, floors follow, and nobody else is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from haulm.forecast.model import MODEL
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of
from haulm.jobs.promises.follow_floors import BROKEN, NEW_FIGURES, follow_floors
from haulm.jobs.promises.new_figures import look_at_new_figures, see_new_figures
from haulm.jobs.warning.run_due import run_due
from haulm.jobs.warning.see_today import see_today
from haulm.jobs.warning.warn_early import warn_early
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from support.desks import NOW
from support.known_farm import growing_farm
from support.ledger_laws import broken_laws

OpenDesk = Callable[[dict[str, bytes]], Desk]
POORER = Drawing(200, 1, frost_days_earlier=100, model=MODEL + 1)
"""Figures of another release, by which frost comes weeks earlier."""


@pytest.fixture
def promised(open_desk: OpenDesk) -> Desk:
    """A desk over a farm that is rather sure of what it promised each week, and has looked at its floors."""
    files = growing_farm()
    files["batches.csv"] = (
        b"key,variety,sow_date,method,sown,plants,bed,status\nfirst,lagurus,2027-05-25,direct,150,100,south,planted\n"
    )
    desk = open_desk(files)
    run_due(desk)
    return desk


def upgraded(desk: Desk, drawing: Drawing = POORER) -> Desk:
    """The same farm after a start of another release."""
    return replace(desk, planner=Planner(drawing))


def letters(desk: Desk) -> list[tuple[str, str | None]]:
    """Everything in the outbox: what kind of letter, to whom."""
    claimed = desk.store.outbox.claim("test", NOW + timedelta(days=400), 50)
    return [(one.letter.kind, one.letter.customer) for one in claimed]


def test_what_new_figures_took_is_one_line_and_one_list(promised: Desk) -> None:
    before = {line.line.due: line.confidence for line in promised.plan().outlooks}
    desk = upgraded(promised)
    run_due(desk)

    found = see_new_figures(desk)
    after = {line.line.due: line.confidence for line in desk.plan().outlooks}
    lower = [due for due in before if before[due] - after[due] >= 0.01]
    assert len(lower) > 0
    assert [(one.line, one.order, one.due, one.before, one.after) for one in found.lowered] == [
        ("anna-1", "anna-weekly", due, before[due], after[due]) for due in sorted(lower)
    ]
    line = see_today(desk).new_figures
    assert line is not None and line == found.sentence and "less sure" in line
    assert any(line in note for note in warn_early(desk).notes)


def test_floors_fall_with_that_cause_and_with_no_other(promised: Desk) -> None:
    rows = len(promised.store.floor_rows())
    desk = upgraded(promised)
    assert follow_floors(desk, "test") == ()

    written = promised.store.floor_rows()[rows:]
    assert {row.causes for row in written} == {("new figures",)}
    assert [(row.line, row.due) for row in written] == [(one.line, one.due) for one in see_new_figures(desk).lowered]
    assert all(row.floor == min(row.level, row.confidence) for row in written)
    assert desk.store.entries_of(BROKEN) == ()
    assert broken_laws(desk.store) == []


def test_the_second_start_says_nothing_and_writes_nothing(promised: Desk) -> None:
    run_due(upgraded(promised))
    version, entries = promised.store.version(), len(promised.store.entries())
    again = upgraded(promised)
    run_due(again)

    assert (again.store.version(), len(again.store.entries())) == (version, entries)
    assert len(again.store.entries_of(NEW_FIGURES)) == 1


def test_no_customer_gets_a_letter_for_it(promised: Desk) -> None:
    desk = upgraded(promised)
    run_due(desk)

    assert see_new_figures(desk).lowered
    assert {customer.email is not None for customer in desk.store.farm().customers} >= {True}
    assert {customer for _, customer in letters(desk)} == {None}


def test_once_looked_at_the_line_is_gone_and_the_list_stays_to_be_read(promised: Desk) -> None:
    desk = upgraded(promised)
    run_due(desk)
    shown = see_new_figures(desk).lowered
    for _ in range(2):
        with desk.store.unit_of_work(actor="test", now=NOW) as work:
            look_at_new_figures(desk, work)
            work.save()

    found = see_new_figures(desk)
    assert (found.sentence, found.is_looked_at, found.lowered) == (None, True, shown)
    assert see_today(desk).new_figures is None


def test_two_releases_that_nobody_looked_at_are_one_list_from_the_first_figure_to_the_last(promised: Desk) -> None:
    first = {(line.line.line, line.line.due): line.confidence for line in promised.plan().outlooks}
    follow_floors(upgraded(promised), "test")
    last = upgraded(promised, replace(POORER, frost_days_earlier=130, model=MODEL + 2))
    follow_floors(last, "test")

    found = see_new_figures(last)
    assert found.model == MODEL + 2
    now = {(line.line.line, line.line.due): line.confidence for line in last.plan().outlooks}
    assert found.lowered
    for one in found.lowered:
        assert one.line is not None
        assert one.before == first[one.line, one.due]
        assert one.after >= now[one.line, one.due]


def test_a_release_that_changes_no_figure_is_noted_without_a_word(promised: Desk) -> None:
    desk = upgraded(promised, Drawing(200, 1, model=MODEL + 1))
    run_due(desk)
    followed = desk.store.followed()
    assert followed is not None and followed.model == MODEL + 1
    assert see_new_figures(desk).sentence is None


def test_before_they_were_looked_at_floors_follow_the_new_figures(promised: Desk) -> None:
    desk = upgraded(promised)
    plan = desk.plan()
    floors = floors_of(desk, plan)
    assert all(floors.of(sure) <= sure.confidence for sure in plan.moment.sure.values())


def test_a_farm_that_begins_with_these_figures_is_told_nothing(open_desk: OpenDesk) -> None:
    desk = open_desk(growing_farm())
    run_due(desk)
    run_due(desk)
    assert desk.store.entries_of(NEW_FIGURES) == ()
    assert see_new_figures(desk).model is None
