"""The measuring of rehearsed weeks, on two weeks that are worked out by hand."""

from collections.abc import Callable
from datetime import date, timedelta

import numpy as np

from haulm.demand.precedence import demand
from haulm.farm.products import Product
from haulm.hidden_season import hidden_season, possible, rehearsed_lines
from haulm.jobs.desk.desk import Desk
from haulm.rehearsed_weeks import Measured, RehearsedLine, in_words, measured
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY

OpenDesk = Callable[[dict[str, bytes]], Desk]
TUESDAY, SUNDAY = MONDAY + timedelta(days=1), MONDAY - timedelta(days=1)
WEEK = timedelta(days=7)
LAGURUS = Product("lagurus")


def test_what_is_possible_sent_and_broken_is_counted_line_by_line(open_desk: OpenDesk) -> None:
    day = BucketDay(open_desk(bucket_farm()))
    truth = hidden_season(day.desk)
    ready = np.zeros(30, np.int64)
    truth.first_day, truth.ready = SUNDAY, {(LAGURUS, 0): ready}
    ready[0], ready[7] = 70, 30
    said = {
        ("anna-1", TUESDAY): (20, 50),
        ("bram-1", TUESDAY): (5, 5),
        ("cora-1", TUESDAY): (0, 0),
        ("anna-1", TUESDAY + WEEK): (50, 50),
    }

    assert truth.take("lagurus", MONDAY, 65).total() == 65
    assert truth.standing("lagurus", MONDAY) == 5
    day.cut(65, left=5)
    day.confirm()
    found = rehearsed_lines(day.desk, truth, MONDAY, said)

    # Anna is first in both weeks: 60 of the 70, and of the 10 that still stand with the 30 of the second week, 40.
    by_line = {(one.line, one.due): (one.possible, one.sent) for one in found}
    assert by_line == {
        ("anna-1", TUESDAY): (60, 60),
        ("bram-1", TUESDAY): (0, 5),
        ("cora-1", TUESDAY): (0, 0),
        ("anna-1", TUESDAY + WEEK): (40, 0),
    }
    assert measured(found) == Measured(
        lines=4,
        letters=4,
        asked=180,
        possible=100,
        sent=65,
        said_less=1,
        said_more=1,
        lines_less=1,
        broken=1,
        reached=3,
    )


def test_stems_that_went_over_are_not_possible_and_longer_ones_are_asked_for_by_length(open_desk: OpenDesk) -> None:
    day = BucketDay(open_desk(bucket_farm(asked=(60,))))
    truth = hidden_season(day.desk)
    long, short, lines = np.zeros(30, np.int64), np.zeros(30, np.int64), demand(day.desk.store.farm(), MONDAY)
    truth.first_day, truth.ready = MONDAY - timedelta(days=20), {(LAGURUS, 50): long, (LAGURUS, 30): short}
    # They stand for 10 days: on Monday those of the 4th are there for the last time, those of the 3rd are not.
    short[9], short[10], long[20] = 30, 20, 7

    assert truth.standing("lagurus", MONDAY) == 27
    assert possible(lines, day.desk.store.farm(), truth, MONDAY)["anna-1", TUESDAY] == 27
    assert truth.take("lagurus", MONDAY, 10, least_cm=40) == {50: 7}
    assert truth.take("lagurus", MONDAY, 30) == {30: 20}


def test_two_lines_of_a_letter_are_one_letter_and_seasons_add_up() -> None:
    due = date(2027, 6, 15)
    lines = [RehearsedLine("anna", due, line, 10, 4, 8, 9, sent) for line, sent in (("one", 3), ("two", 9))]

    found = measured(lines)
    assert (found.letters, found.lines, found.said_less, found.lines_less) == (1, 2, 1, 2)
    assert (found.said_more, found.broken, found.reached) == (1, 1, 1)
    assert (found + found).letters == 2 and (found + found).possible == 36
    assert in_words(found)[0] == "Of 18 stems that could have been sent with the season known, 12 were."
