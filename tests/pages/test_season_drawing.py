"""A row's shapes: blocks up to what is sure, steps for what is promised, one sign below the ground."""

from __future__ import annotations

import re

from haulm.farm.weeks import Week
from haulm.pages.season_drawing import PHONE, ground, months
from haulm.planning.season_picture import WeekFigures

FIRST = Week(2027, 20)


def week(number: int, sure: int = 0, promised: int = 0, short: float = 0.0, free: int = 0) -> WeekFigures:
    return WeekFigures(FIRST.plus(number), sure, sure * 2, sure * 3, promised, short, free)


def test_a_row_ends_at_about_twice_its_promise_and_what_grows_beyond_is_cut_off() -> None:
    drawn = ground([week(0, sure=1000, promised=50, free=950), week(1, sure=55, promised=50)], PHONE)
    assert drawn.top == 110
    ups = [float(one) for one in re.findall(r"V([\d.]+)h", drawn.turf)]
    assert ups[0] == 2.0, "as high as the row"
    assert abs((drawn.floor - ups[1]) - (drawn.floor - 2) / 2) < 0.1, "half of the row"


def test_a_week_has_one_sign_below_the_ground() -> None:
    drawn = ground([week(0, 5, 9, short=3.0, free=2), week(1, 9, 2, free=7), week(2, 2, 2), week(3)], PHONE)
    assert [part.count("M") for part in (drawn.holes, drawn.rings, drawn.dots)] == [1, 1, 1]


def test_the_promised_line_breaks_where_nothing_is_promised() -> None:
    drawn = ground([week(0, 9, 3), week(1, 9, 4), week(2, 9), week(3, 9, 2)], PHONE)
    assert drawn.twine.count("M") == 2 and drawn.twine.count("V") == 1


def test_months_stand_where_they_begin() -> None:
    weeks = [week(number) for number in range(9)]
    names = months(weeks, PHONE)
    assert [name for _, name in names] == ["Jun", "Jul"]
    assert names[0][0] == round(360 * 15 / 63, 1), "15 days after 17 May"


def test_nothing_is_drawn_of_no_weeks() -> None:
    drawn = ground([], PHONE)
    assert not any((drawn.turf, drawn.blades, drawn.twine, drawn.holes, drawn.rings, drawn.dots))
