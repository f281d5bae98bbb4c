"""A gap keeps its name while its lines last; of what falls apart the largest part has it, of what becomes one too."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.gap_names import NameOf, Standing, lines_of, named_gaps
from haulm.advice.shortfalls import Gap, LineOutlook, gaps, renamed
from haulm.farm.products import Product
from support.advice_builders import MONDAY, dated_line

Weeks = Sequence[int]


def short_in(weeks: Weeks, *, lines: int = 1, product: str = "grass", name: str = "l") -> tuple[Gap, ...]:
    """The gaps of lines that are short in these weeks after the first."""
    outlooks = [
        LineOutlook(dated_line(f"{name}{number}", due=due(week), product=Product(product)), 0.2, 5.0)
        for week in weeks
        for number in range(lines)
    ]
    return gaps(outlooks, 0.8)


def due(week: int) -> date:
    return MONDAY + timedelta(weeks=week)


def standing(named: Sequence[NameOf]) -> list[Standing]:
    return [one.standing for one in named]


def names(named: Sequence[NameOf]) -> list[str]:
    return [one.standing.name for one in named]


def test_a_gap_keeps_its_name_when_its_first_weeks_have_passed() -> None:
    first = named_gaps(short_in(range(4)), [])
    later = named_gaps(short_in((2, 3)), standing(first))

    assert names(first) == names(later) == [first[0].gap.key]
    assert later[0].gap.key != first[0].gap.key and not later[0].is_new


def test_a_gap_that_begins_earlier_than_it_did_keeps_its_name() -> None:
    first = named_gaps(short_in((2, 3)), [])
    assert names(named_gaps(short_in(range(5)), standing(first))) == names(first)


def test_of_a_gap_that_falls_apart_the_larger_part_keeps_the_name_and_the_other_says_where_it_was() -> None:
    (whole,) = named_gaps(short_in(range(7)), [])
    small, large = named_gaps(short_in((0, 1, 4, 5, 6)), [whole.standing])

    assert large.standing.name == whole.standing.name and large.standing.split_from is None
    assert small.is_new and small.standing.split_from == whole.standing.name
    assert small.standing.name != whole.standing.name


def test_of_equal_parts_the_earlier_keeps_the_name() -> None:
    (whole,) = named_gaps(short_in(range(6)), [])
    early, late = named_gaps(short_in((0, 1, 4, 5)), [whole.standing])
    assert early.standing.name == whole.standing.name and late.standing.split_from == whole.standing.name


def test_of_gaps_that_become_one_the_larger_gives_the_name_and_the_other_is_not_forgotten() -> None:
    apart = named_gaps(short_in((0, 4, 5, 6)), [])
    small, large = apart
    (one,) = named_gaps(short_in(range(7)), standing(apart))

    assert one.standing.name == large.standing.name and one.standing.merged == (small.standing.name,)
    (still,) = named_gaps(short_in(range(7)), [one.standing])
    assert still.standing == one.standing


def test_a_name_that_is_taken_is_given_to_no_other_gap() -> None:
    (first,) = named_gaps(short_in(range(4), lines=2), [])
    (moved,) = named_gaps(short_in((2, 3), lines=2), [first.standing])
    other, same = named_gaps([*short_in((0,), name="other"), *short_in((2, 3), lines=2)], [moved.standing])

    assert same.standing.name == first.standing.name == other.gap.key
    assert other.is_new and other.standing.name == f"{other.gap.key}.2"


def test_what_asks_something_else_is_another_gap() -> None:
    (first,) = named_gaps(short_in((0, 1)), [])
    (other,) = named_gaps(short_in((0, 1), product="nigella"), [first.standing])
    assert other.is_new and other.standing.split_from is None


def test_a_gap_under_another_name_differs_in_nothing_else() -> None:
    (gap,) = short_in((0, 1))
    other = renamed(gap, "other")
    assert (other.key, {short.gap for short in other.shortfalls}) == ("other", {"other"})
    assert lines_of(other) == lines_of(gap) and renamed(other, gap.key) == gap


@given(st.lists(st.sets(st.integers(0, 12)), min_size=1, max_size=5))
def test_names_are_unique_stay_where_nothing_changes_and_no_line_is_lost(years: list[set[int]]) -> None:
    before: list[Standing] = []
    for weeks in years:
        found = short_in(sorted(weeks))
        now = named_gaps(found, before)
        assert len(set(names(now))) == len(now) and [one.gap for one in now] == list(found)
        assert all(one.standing.lines == lines_of(one.gap) for one in now)
        again = named_gaps(found, standing(now))
        assert standing(again) == standing(now)
        kept = {one.name for one in before} & set(names(now))
        shared = [old for old in before if any(old.lines & lines_of(gap) for gap in found)]
        assert bool(kept) == bool(shared)  # who shares a line with what stood goes on from something that stood
        before = standing(now)
