"""Shares that the grower keeps: list, page, letter and REST say the same, and who was told more is rung."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from haulm.errors import NotAccepted
from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.draft_bucket_list import draft_bucket_list
from haulm.jobs.bucket_day.follow_week import follow_week, to_ring
from haulm.jobs.bucket_day.keep_shares import keep_shares
from haulm.jobs.bucket_day.kept_shares import kept_evenly
from haulm.jobs.bucket_day.tell_expected import tell_expected
from haulm.jobs.bucket_day.told_week import ToldLine
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_page import see_told_week
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY

EVENLY = Choices(evenly=frozenset({"lagurus"}))


@pytest.fixture
def day(open_desk: Callable[[dict[str, bytes]], Desk]) -> BucketDay:
    """Monday 14 June: 90 stand for the 60, 40 and 20 of anna, bram and cora."""
    opened = BucketDay(open_desk(bucket_farm()))
    opened.walk(lagurus=90)
    return opened


def test_list_page_letter_and_rest_agree_on_what_is_shared(day: BucketDay) -> None:
    before = {one.line.line: one.yours for one in draft_bucket_list(day.desk, MONDAY).lines}
    day.done(lambda work: keep_shares(day.desk, work, MONDAY, EVENLY.evenly))

    found = draft_bucket_list(day.desk, MONDAY).lines
    assert [(one.line.line, one.filled, one.yours) for one in found] == [
        (one.line.line, one.filled, one.filled) for one in draft_bucket_list(day.desk, MONDAY, EVENLY).lines
    ]
    assert {one.line.line: one.yours for one in found} != before
    assert sum(one.yours for one in found) <= sum(before.values())
    told = {line.line: (line.yours, line.up_to) for key in ("anna", "bram", "cora") for line in _told(day, key)}
    assert told == {one.line.line: (one.yours, one.up_to) for one in found}
    assert not follow_week(day.desk, "clock") and not list(to_ring(day.desk)), "nobody was written to before"

    # Taken back, the shares that were kept stay theirs until more is written down.
    day.done(lambda work: keep_shares(day.desk, work, MONDAY, frozenset()))
    assert {one.line.line: one.yours for one in draft_bucket_list(day.desk, MONDAY).lines}["anna-1"] >= 50


def _told(day: BucketDay, customer: str) -> list[ToldLine]:
    return [line for one in see_told_week(day.desk, customer) for line in one.lines]


def test_a_product_of_which_nobody_asks_is_not_shared(day: BucketDay) -> None:
    with pytest.raises(NotAccepted, match="nigella"):
        day.done(lambda work: keep_shares(day.desk, work, MONDAY, frozenset({"nigella"})))


def test_who_was_written_to_and_gets_less_by_a_share_is_to_be_rung(day: BucketDay) -> None:
    told = day.done(lambda work: tell_expected(day.desk, work, MONDAY))
    assert told.queued == ("anna",)
    before = {one.line.line: one.yours for one in draft_bucket_list(day.desk, MONDAY).lines}
    day.done(lambda work: tell_expected(day.desk, work, MONDAY, EVENLY.evenly))

    after = {one.line.line: one.yours for one in draft_bucket_list(day.desk, MONDAY).lines}
    assert after["anna-1"] < before["anna-1"]
    said = f"of {before['anna-1']} Hare's-tail grass for Tue 15 Jun 2027, {after['anna-1']} are there."
    assert list(to_ring(day.desk)) == [f"Ring Studio Anna Verhoeven: {said}"]


def test_the_last_word_on_a_day_stands_for_that_day_alone(day: BucketDay) -> None:
    store = day.desk.store
    assert kept_evenly(store, MONDAY) == frozenset()
    day.done(lambda work: keep_shares(day.desk, work, MONDAY, EVENLY.evenly))
    assert kept_evenly(store, MONDAY) == EVENLY.evenly
    assert kept_evenly(store, MONDAY + timedelta(days=7)) == frozenset()
    day.done(lambda work: keep_shares(day.desk, work, MONDAY, frozenset()))
    assert kept_evenly(store, MONDAY) == frozenset()
