"""The bucket list: careful on a growing farm, contracted lines only, settled once, theirs until it is impossible."""

from datetime import date
from typing import Any

import pytest

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm.products import Product
from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.confirm_bucket_list import Settling, confirm_bucket_list, post_bucket_list
from haulm.jobs.bucket_day.confirmed_lists import confirmed_bucket_list
from haulm.jobs.bucket_day.draft_bucket_list import draft_bucket_list
from haulm.jobs.bucket_day.refusals import ListConfirmed, NotABucketDay, NothingToSettle
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.desk.seen import ANY_TAG
from haulm.jobs.promises.show_match import show_match
from support.desks import NOW
from support.known_farm import KNOWN_STEMS, PARTY, growing_farm, known_farm

MONDAY = date(2027, 6, 14)
ANNA = ("anna-weekly", date(2027, 6, 15))
BY_WORD = Settling(deliveries={ANNA: ANY_TAG})
"""Anna's Tuesday, by the grower's word on its last cut day that no cut is made."""


def test_the_expected_season_lies_between_what_is_theirs_and_what_it_may_become(open_desk: Any) -> None:
    batch = b"key,variety,sow_date,method,sown,bed,status\nfirst,lagurus,2027-06-14,direct,90,south,planned\n"
    desk = open_desk({**growing_farm(), "batches.csv": batch})

    (bucket,) = draft_bucket_list(desk, date(2027, 9, 13)).lines

    expected = next(found for found in show_match(desk, bucket.line.due, bucket.line.due))
    assert bucket.yours <= expected.filled <= bucket.up_to and bucket.yours < bucket.up_to


def test_a_list_has_contracted_lines_only_by_customer_and_day(open_desk: Any) -> None:
    orders = PARTY["orders"] + "        hold,anna,one_off,2027-06-18,2027-06-01,on_hold\n"
    orders = orders.replace("committed_on,status", "committed_on,status,hold_until").replace(
        "on_hold", "on_hold,2027-06-20"
    )
    orders = orders.replace("contracted", "contracted,")
    lines = PARTY["order_lines"] + "        hold-1,hold,3,lagurus,\n"
    draft = draft_bucket_list(open_desk(known_farm(orders=orders, order_lines=lines)), MONDAY)

    assert [(bucket.line.customer, bucket.line.line) for bucket in draft.lines] == [
        ("anna", "anna-1"),
        ("bram", "party-1"),
    ]
    assert all(bucket.line.line_class is not LineClass.HOLD for bucket in draft.lines)


def test_only_the_bucket_day_has_a_list_and_only_once(party_desk: Desk) -> None:
    with pytest.raises(NotABucketDay):
        draft_bucket_list(party_desk, date(2027, 6, 15))
    with party_desk.store.unit_of_work(actor="test", now=NOW) as work:
        with pytest.raises(DatePassed):
            confirm_bucket_list(party_desk, work, date(2027, 6, 7))
        with pytest.raises(NothingToSettle, match="the first of 2027-06-14"):
            confirm_bucket_list(party_desk, work, MONDAY)
        with pytest.raises(NothingToSettle, match="nothing leaves"):
            confirm_bucket_list(party_desk, work, date(2027, 7, 12), settling=Settling(far_ahead=True))
        post_bucket_list(work, confirm_bucket_list(party_desk, work, MONDAY, settling=BY_WORD))
        work.save()
    with party_desk.store.unit_of_work(actor="test", now=NOW) as work, pytest.raises(ListConfirmed):
        confirm_bucket_list(party_desk, work, MONDAY, settling=BY_WORD)
    assert confirmed_bucket_list(party_desk, MONDAY) is not None


STAND_IN = """
    key,order,stems,product,substitutes
    anna-1,anna-weekly,25,lagurus,nigella
    """


def sent(desk: Desk, kind: str | None = None) -> list[tuple[str, int]]:
    """What anna is drafted on Tuesday, with one kind decided or none."""
    line_due = ("anna-1", date(2027, 6, 15))
    chosen = Choices() if kind is None else Choices(kinds={line_due: Product.parse(kind)})
    (bucket,) = (one for one in draft_bucket_list(desk, MONDAY, chosen).lines if one.line.line == "anna-1")
    assert bucket.filled == sum(source.stems for source in bucket.sources)
    assert str(bucket.line.product) == "lagurus", "what was asked stays as it was"
    return [(str(source.product), source.stems) for source in bucket.sources]


def test_the_grower_decides_which_accepted_kind_fills_a_line(open_desk: Any) -> None:
    few = KNOWN_STEMS.replace("k1,lagurus,2027-06-14,60", "k1,lagurus,2027-06-14,10")
    desk = open_desk(known_farm(standing_lines=STAND_IN, known_stems=few))

    assert sent(desk) == [("lagurus", 10), ("nigella", 15)]
    assert sent(desk, kind="lagurus") == [("lagurus", 10)]
    assert sent(desk, kind="nigella") == [("nigella", 25)]


def test_a_kind_that_takes_the_place_of_another_leaves_its_stems_to_the_next(open_desk: Any) -> None:
    few = KNOWN_STEMS.replace("k1,lagurus,2027-06-14,60", "k1,lagurus,2027-06-14,30")
    desk = open_desk(known_farm(standing_lines=STAND_IN, known_stems=few, **PARTY))
    due = {("anna-1", date(2027, 6, 15)): Product("nigella")}

    def party(choices: Choices) -> int:
        return next(one.filled for one in draft_bucket_list(desk, MONDAY, choices).lines if one.line.order == "party")

    assert party(Choices()) < 20
    assert party(Choices(kinds=due)) == 20


@pytest.mark.parametrize(
    ("line", "kind", "refusal"), [("anna-1", "tulip", NotAccepted), ("anna-9", "nigella", NotFound)]
)
def test_a_line_is_filled_with_what_its_florist_accepts_and_nothing_else(
    open_desk: Any, line: str, kind: str, refusal: type[HaulmError]
) -> None:
    desk = open_desk(known_farm(standing_lines=STAND_IN))
    choices = Choices(kinds={(line, date(2027, 6, 15)): Product(kind)})

    with pytest.raises(refusal, match="lagurus or nigella" if refusal is NotAccepted else "anna-9"):
        draft_bucket_list(desk, MONDAY, choices)
