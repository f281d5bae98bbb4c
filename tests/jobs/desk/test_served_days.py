"""A day that no cut day can serve is refused, with the weekdays on which a cut would serve it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.crop_library.library import crop_for
from haulm.farm.products import Choice
from haulm.farm.words import Role, Weekday
from haulm.jobs.desk.refusals import DayNotServed
from haulm.jobs.desk.served_days import check_day_served
from support.farms import order_line, site, variety

THURSDAY = date(2027, 6, 17)
SHORT, LONG = variety("short", hold_days=1, role=Role.ACCENT), variety("long", hold_days=4, role=Role.ACCENT)
CROPS = {one.key: crop_for(one) for one in (SHORT, LONG)}
SITE = site(condition_days=1)
"""It cuts on Mondays and Thursdays, and stems drink for a day."""


def served(line: object) -> list[int]:
    """The days of a week, Monday 0, that can be served."""
    found = []
    for day in range(7):
        due = date(2027, 6, 14) + timedelta(days=day)
        try:
            check_day_served(SITE, CROPS, line, due)  # type: ignore[arg-type]
        except DayNotServed:
            continue
        found.append(day)
    return found


def test_a_kind_that_keeps_a_day_leaves_the_day_after_a_cut_and_one_that_keeps_four_any_day() -> None:
    assert served(order_line(product="short")) == [1, 4]
    assert served(order_line(product="long")) == [0, 1, 2, 3, 4, 5, 6]


def test_a_choice_is_served_where_any_kind_that_answers_it_is() -> None:
    line = order_line(product=None, choice=Choice((Role.ACCENT,)))

    assert served(line) == served(order_line(product="long"))


def test_dried_stems_need_no_cut_day() -> None:
    assert served(order_line(product="short:dried")) == [0, 1, 2, 3, 4, 5, 6]


def test_the_refusal_names_the_weekdays_on_which_a_cut_would_serve_and_each_of_them_does() -> None:
    line = order_line(product="short")
    said = r"^No cut day can serve Thu 17 Jun 2027: cut on Wednesday as well, or choose another day\.$"
    with pytest.raises(DayNotServed, match=said) as refusal:
        check_day_served(SITE, CROPS, line, THURSDAY)

    assert refusal.value.facts["would_serve"] == ["wed"]
    check_day_served(replace(SITE, cut_days=(*SITE.cut_days, Weekday.WED)), CROPS, line, THURSDAY)


def test_where_no_cut_at_all_would_serve_the_kind_keeps_too_short() -> None:
    with pytest.raises(DayNotServed, match=r"it keeps too short; choose another day\.$"):
        check_day_served(site(condition_days=2), CROPS, order_line(product="short"), THURSDAY)
