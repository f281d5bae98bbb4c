"""What is left when nothing in the ground helps."""

from __future__ import annotations

from datetime import date, timedelta

from haulm.advice.options.last_resorts import buying_in, telling
from haulm.advice.options.option import Proof
from support.advice_builders import MONDAY, TODAY, dated_line, one_gap

BEFORE = Proof((0.5,), 11.2)


def test_bought_stems_are_in_the_store_in_time_to_drink() -> None:
    gap = one_gap([dated_line(due=MONDAY), dated_line("l2", due=MONDAY + timedelta(days=3))])
    option = buying_in(gap, BEFORE, asked="Bunny tail", today=TODAY, condition_days=1)
    assert option.decide_by == MONDAY - timedelta(days=1)
    assert "12 stems" in option.sentence and not option.closes


def test_people_are_told_as_early_as_the_one_who_wants_most_notice() -> None:
    gap = one_gap([dated_line(), dated_line("l2", customer="ben")])
    option = telling(gap, BEFORE, notice_days={"anna": 3, "ben": 14}, asked="Bunny tail", today=TODAY)
    assert option.decide_by == MONDAY - timedelta(days=14)
    assert "anna, ben" in option.sentence


def test_a_day_that_has_passed_becomes_today() -> None:
    gap = one_gap([dated_line()])
    today = date(2027, 7, 4)
    assert telling(gap, BEFORE, notice_days={"anna": 30}, asked="Bunny tail", today=today).decide_by == today
    assert buying_in(gap, BEFORE, asked="Bunny tail", today=MONDAY, condition_days=1).decide_by == MONDAY
