"""The week from day to day: what is theirs, what it may become, who is rung, and what leaves by itself at midnight."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.confirm_bucket_list import Settling
from haulm.jobs.bucket_day.draft_bucket_list import draft_bucket_list
from haulm.jobs.bucket_day.follow_week import follow_week, to_ask, to_ring
from haulm.jobs.bucket_day.keep_yours import kept_yours
from haulm.jobs.bucket_day.listed import changes, figures_of, tag_of
from haulm.jobs.bucket_day.refusals import DraftChanged, ListFarAhead, NotCutYet, SeenNotSaid
from haulm.jobs.bucket_day.see_week import see_week
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import ANY_TAG
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.warning.run_due import run_due
from haulm.store.words import Account, PromiseState
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, on

TUESDAY, THURSDAY = MONDAY + timedelta(days=1), MONDAY + timedelta(days=3)
FRIDAY = MONDAY + timedelta(days=4)
ON_FRIDAY = {
    "orders": "key,customer,kind,due_date,committed_on,status\nparty,bram,wedding,2027-06-18,2027-03-01,contracted",
    "order_lines": "key,order,stems,product\nparty-1,party,40,lagurus",
}
OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def day(open_desk: OpenDesk) -> BucketDay:
    """Monday 14 June: lagurus for anna, bram and cora on Tuesday, and for a wedding of bram on Friday."""
    return BucketDay(open_desk(bucket_farm(**ON_FRIDAY)))


def figures(day: BucketDay) -> dict[str, tuple[int, int]]:
    """What is theirs and what it may become, by line."""
    return {one.line.line: (one.yours, one.up_to) for one in draft_bucket_list(day.desk, MONDAY).lines}


def test_a_wedding_is_expected_on_monday_and_settled_at_its_own_cut(day: BucketDay) -> None:
    day.walk(lagurus=70)
    day.cut(60, left=10)
    assert {one.line.line for one in day.confirm()} == {"anna-1", "bram-1", "cora-1"}
    (delivery,) = draft_bucket_list(day.desk, MONDAY).deliveries
    assert (delivery.order, delivery.last_cut, delivery.can_settle) == ("party", THURSDAY, False)

    # Told again as it went wrong once: none was sure on Monday, and 61 stood on Thursday.
    on(day.desk, THURSDAY)
    day.walk(lagurus=61)
    assert figures(day)["party-1"] == (40, 40)
    day.cut(61, left=0)
    (party,) = day.confirm()
    assert (party.line.line, party.filled) == ("party-1", 40)


def test_what_is_theirs_is_remembered_and_falls_only_when_a_record_makes_it_impossible(day: BucketDay) -> None:
    day.walk(lagurus=120)
    assert follow_week(day.desk, "clock") and not follow_week(day.desk, "clock")
    theirs = kept_yours(day.desk.store, MONDAY)
    assert theirs["anna-1", TUESDAY] == 60

    # More may still become ready than was counted today: what was theirs is not impossible yet.
    day.walk(lagurus=90)
    assert figures(day)["anna-1"][0] == 60 and not list(to_ring(day.desk))

    day.cut(45, left=0, more=True)
    before = figures(day)
    assert before["anna-1"] != (60, 60)
    follow_week(day.desk, "clock")
    assert figures(day) == before
    said = [sentence for sentence in to_ring(day.desk) if "Studio Anna" in sentence]
    assert said == [
        f"Ring Studio Anna Verhoeven: of 60 Hare's-tail grass for Tue 15 Jun 2027, {before['anna-1'][0]} are there."
    ]


def test_looking_changes_no_figure_and_no_line_counts_on_the_stems_of_another(day: BucketDay) -> None:
    day.walk(lagurus=100)
    first = tag_of(see_week(day.desk, MONDAY))
    assert first == tag_of(see_week(day.desk, MONDAY))
    day.cut(100, left=0)

    # Friday's wedding comes first, and has its own cut to come; what is cut today is shared by all four.
    assert sum(yours for yours, _ in figures(day).values()) <= 100 + day.desk.plan().result.supply.seasons
    assert sum(one.filled for one in draft_bucket_list(day.desk, MONDAY).lines if one.line.due == TUESDAY) <= 100


def test_what_stands_for_a_later_cut_leaves_the_store_to_those_who_leave_before_it(day: BucketDay) -> None:
    day.walk(lagurus=150)
    day.cut(110, left=40)

    # The wedding comes first in the strict order, and 40 still stand for it: of the 110, ten are left for cora.
    found = {one.line.line: one.filled for one in draft_bucket_list(day.desk, MONDAY).lines}
    assert found == {"anna-1": 60, "bram-1": 40, "party-1": 40, "cora-1": 10}


def test_a_late_wedding_takes_nothing_that_was_called_theirs(day: BucketDay) -> None:
    day.cut(120, left=0)
    follow_week(day.desk, "clock")
    before = figures(day)
    order = {"key": "late", "customer": "cora", "kind": "wedding", "due_date": TUESDAY.isoformat(), "status": "quoted"}
    line = {"key": "late-1", "order": "late", "product": "lagurus", "stems": 50}
    day.done(lambda work: add_row(day.desk, work, RowAsked("orders", order)))
    day.done(lambda work: add_row(day.desk, work, RowAsked("order_lines", line)))
    day.done(lambda work: contract_quote(day.desk, work, "late", override="she asked nicely"))

    after = figures(day)
    assert {key: after[key][0] for key in before} == {key: yours for key, (yours, _) in before.items()}
    assert day.desk.plan().result.lines[0].line in ("party-1", "late-1"), "a wedding comes first in the strict order"


def test_what_is_settled_leaves_at_midnight_and_what_is_not_is_asked_about(day: BucketDay) -> None:
    day.cut(100, left=0)
    run_due(day.desk, writes_letters=False)
    day.confirm(settling=Settling(deliveries={("anna-weekly", TUESDAY): ANY_TAG}))
    on(day.desk, TUESDAY)
    run_due(day.desk, writes_letters=False)
    assert (day.held(Account.PACKED), day.held(Account.DELIVERED)) == (60, 0)

    on(day.desk, TUESDAY + timedelta(days=1))
    run_due(day.desk, writes_letters=False)
    assert (day.held(Account.PACKED), day.held(Account.DELIVERED)) == (0, 60)
    assert day.desk.store.promises(line="anna-1")[-1].state is PromiseState.DELIVERED
    asked = list(to_ask(day.desk))
    assert [sentence.split(" on ")[0] for sentence in asked] == [
        "What left for Bram's corner",
        "What left for Cora's stems",
    ]

    day.tell(MONDAY, ("bram-weekly", TUESDAY), {})
    assert len(list(to_ask(day.desk))) == 1


def test_what_was_seen_is_what_is_settled(day: BucketDay) -> None:
    day.cut(120, left=0)
    seen = see_week(day.desk, MONDAY)
    settling = Settling(tag=tag_of(seen), seen=figures_of(seen))
    cut = day.desk.store.farm().records[-1].key
    day.recount(cut, 92)

    with pytest.raises(DraftChanged) as refused:
        day.confirm(settling=settling)
    now = see_week(day.desk, MONDAY)
    assert refused.value.changes == changes(figures_of(seen), figures_of(now)) != ()
    assert day.held(Account.PACKED) == 0
    day.confirm(settling=Settling(tag=tag_of(now)))
    # What still becomes ready by Thursday is enough for Friday's wedding.
    assert day.held(Account.PACKED) == 92


def test_a_list_of_a_far_day_and_a_delivery_before_its_cut_are_meant_or_wait(day: BucketDay) -> None:
    with pytest.raises(NotCutYet):
        day.confirm(settling=Settling(deliveries={("party", FRIDAY): ANY_TAG}))
    on(day.desk, date(2027, 5, 31))
    word = Settling(
        deliveries={("anna-weekly", TUESDAY): ANY_TAG}, shown=Choices(no_cut=frozenset({("anna-weekly", TUESDAY)}))
    )
    with pytest.raises(ListFarAhead, match="14 days ahead"):
        day.confirm(settling=word)
    assert "If-Match" in str(SeenNotSaid(what="The bucket list"))
