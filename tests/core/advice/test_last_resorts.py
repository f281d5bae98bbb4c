"""What is left when nothing in the ground helps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from haulm.advice.options.last_resorts import buying_in, purchases, telling
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.situation import Situation
from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.site import Site
from haulm.farm.words import Weekday
from support.advice_builders import MONDAY, SITE, TODAY, dated_line, one_gap

THURSDAY = MONDAY + timedelta(days=3)


def situation(gap: Gap, *, today: date = TODAY, site: Site = SITE, **notice_days: int) -> Situation:
    lines = len(gap.shortfalls)
    before = Proof((0.5,) * lines, gap.expected_missing)
    people = {"anna": "Anna's", "ben": "Ben's"}
    return Situation(gap, before, today, notice_days, {"grass": "Bunny tail"}, people, (60.0,) * lines, site)


def bought(lines: Sequence[DatedLine], *, keeps: int, today: date = TODAY) -> Option:
    found = buying_in(situation(one_gap(lines), today=today), condition_days=1, hold_days=keeps, stem_minor=80)
    assert found is not None
    return found


def test_bought_stems_are_in_the_store_in_time_to_drink() -> None:
    option = bought([dated_line(due=THURSDAY), dated_line("l2", due=THURSDAY + timedelta(days=1))], keeps=4)
    assert option.decide_by == THURSDAY - timedelta(days=1)
    assert "10 in the store by Wed 7 Jul 2027" in option.sentence and not option.closes
    assert option.cost_minor == 800


def test_what_does_not_keep_is_bought_week_by_week_and_no_more_than_is_missing_then() -> None:
    """Eleven weeks of five missing stems each are no fifty-five stems in the store in the first of them."""
    lines = [dated_line(f"l{week}", due=THURSDAY + timedelta(weeks=week)) for week in range(11)]
    found = purchases(situation(one_gap(lines)), condition_days=1, hold_days=4)
    assert [one.stems for one in found] == [5] * 11
    assert [one.by for one in found] == [line.due - timedelta(days=1) for line in lines]
    assert all(one.until - one.by <= timedelta(days=4) for one in found)


def test_what_keeps_for_good_is_bought_once() -> None:
    lines = [dated_line(f"l{week}", due=THURSDAY + timedelta(weeks=week)) for week in range(11)]
    (found,) = purchases(situation(one_gap(lines)), condition_days=1, hold_days=365)
    assert found.stems == 55


def test_hardly_a_stem_is_nothing_to_buy() -> None:
    short = one_gap([dated_line()])
    few = replace(short, shortfalls=tuple(replace(one, expected_missing=0.3) for one in short.shortfalls))
    assert buying_in(situation(few), condition_days=1, hold_days=4, stem_minor=80) is None


def test_people_are_told_as_early_as_the_one_who_wants_most_notice() -> None:
    option = telling(situation(one_gap([dated_line(), dated_line("l2", customer="ben")]), anna=3, ben=14))
    assert option.decide_by == MONDAY - timedelta(days=14)
    assert "Anna's, Ben's" in option.sentence and "Mon 21 Jun 2027" in option.sentence


def test_nobody_is_told_on_a_day_on_which_nobody_works() -> None:
    gap = one_gap([dated_line()])
    assert telling(situation(gap, anna=1)).decide_by == MONDAY - timedelta(days=2)
    every = replace(SITE, work_days=tuple(Weekday))
    assert telling(situation(gap, site=every, anna=1)).decide_by == MONDAY - timedelta(days=1)


def test_a_day_that_has_passed_becomes_today() -> None:
    gap = one_gap([dated_line()])
    today = date(2027, 7, 4)
    assert telling(situation(gap, today=today, anna=30)).decide_by == today
    assert bought([dated_line()], keeps=4, today=MONDAY).decide_by == MONDAY
