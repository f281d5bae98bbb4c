"""Careful and generous: what is theirs lies below what it may become, and no two lines count on the same stem."""

from collections.abc import Callable

import pytest

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.jobs.bucket_day.week_seasons import Decided, WeekSeasons, week_seasons
from haulm.jobs.desk.desk import Desk
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY

NOTHING = Decided({}, {}, frozenset())
TUESDAY = MONDAY.replace(day=15)


@pytest.fixture
def day(open_desk: Callable[[dict[str, bytes]], Desk]) -> BucketDay:
    """Anna asks 60, bram 40 and cora 20 lagurus for Tuesday; 70 stand."""
    found = BucketDay(open_desk(bucket_farm()))
    found.walk(lagurus=70)
    return found


def seasons(day: BucketDay, decided: Decided = NOTHING) -> WeekSeasons:
    return week_seasons(day.desk.plan(), decided)


def lines(day: BucketDay) -> dict[str, DatedLine]:
    return {line.line: line for line in day.desk.plan().result.lines if line.due == TUESDAY}


def theirs(day: BucketDay, decided: Decided = NOTHING) -> dict[str, int]:
    found = seasons(day, decided)
    return {name: sum(one.stems for one in found.sources(line)) for name, line in lines(day).items()}


def test_careful_is_at_most_generous_and_generous_at_most_what_is_possible_and_asked(day: BucketDay) -> None:
    found = seasons(day)

    for name, line in lines(day).items():
        careful = sum(one.stems for one in found.sources(line))
        assert careful <= found.up_to(line) <= found.possible(line) <= line.stems, name
    assert any(found.up_to(line) for line in lines(day).values())


def test_in_one_season_no_two_lines_count_on_the_same_stem(day: BucketDay) -> None:
    day.cut(70, left=0)

    found = theirs(day)

    assert found == {"anna-1": 60, "bram-1": 10, "cora-1": 0}


def test_what_was_called_theirs_comes_before_everybody(day: BucketDay) -> None:
    day.cut(70, left=0)

    decided = Decided({("cora-1", TUESDAY): 15}, {}, frozenset())
    assert theirs(day, decided) == {"anna-1": 55, "bram-1": 0, "cora-1": 15}
    more = Decided({("cora-1", TUESDAY): 500}, {}, frozenset())
    assert theirs(day, more) == {"anna-1": 50, "bram-1": 0, "cora-1": 20}


def test_a_line_whose_cut_is_made_has_the_cut_stems_alone(day: BucketDay) -> None:
    day.cut(50, left=20)

    found = seasons(day)
    assert found.cut == frozenset(lines(day).values())
    assert sum(theirs(day).values()) == 50
    assert all(found.possible(line) == found.up_to(line) for line in lines(day).values())


def test_by_the_growers_word_nothing_more_is_cut_for_a_delivery(day: BucketDay) -> None:
    decided = Decided({}, {}, frozenset({("anna-weekly", TUESDAY)}))

    assert {line.line for line in seasons(day, decided).cut} == {"anna-1"}
    assert theirs(day, decided)["anna-1"] == 0


def test_a_kind_that_was_decided_is_the_only_one_that_fills_the_line(day: BucketDay) -> None:
    day.cut(70, left=0)

    dried = Decided({}, {("anna-1", TUESDAY): Product.parse("lagurus:dried")}, frozenset())
    assert theirs(day, dried) == {"anna-1": 0, "bram-1": 40, "cora-1": 20}
