"""A customer is told once what is settled, and again only where a line becomes fewer than she was told."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.jobs.bucket_day.confirmed_lists import SettledDelivery, subject_of
from haulm.jobs.bucket_day.tell_settled import tell_settled
from haulm.jobs.bucket_day.told_letters import SETTLED_TOLD
from haulm.jobs.desk.desk import Desk
from support.desks import MONDAY, NOW, done

TUESDAY = date(2027, 6, 15)
SOURCE = {"product": "lagurus", "ready_date": "2027-06-14", "length_cm": None, "cut_date": None, "stock": "k1"}


def delivery(*filled: int, customer: str = "anna") -> SettledDelivery:
    lines = tuple(
        {
            "line": f"{customer}-{number}",
            "class": "standing",
            "product": "lagurus",
            "choice": None,
            "asked": 30,
            "filled": stems,
            "bunches": stems // 10,
            "over": stems % 10,
            "from": [{**SOURCE, "stems": stems}] if stems else [],
            "caution": None,
            "share": None,
            "spare": 0,
            "spare_filled": 0,
            "spare_from": [],
        }
        for number, stems in enumerate(filled, 1)
    )
    return SettledDelivery(MONDAY, f"{customer}-weekly", TUESDAY, customer, lines, 1)


def told(desk: Desk, one: SettledDelivery) -> bool:
    return done(desk, lambda work: tell_settled(work, one, work.enter("settled", subject_of(MONDAY), {})))


def letters(desk: Desk) -> list[tuple[str | None, bool]]:
    """To whom, and whether it corrects an earlier one."""
    queued = desk.store.outbox.claim("test", NOW + timedelta(days=400), 50)
    return [(one.letter.customer, one.letter.facts["correction"]) for one in queued]


def test_the_first_is_told_and_as_much_or_more_is_not_told_again(desk: Desk) -> None:
    assert [told(desk, delivery(*stems)) for stems in ((20, 5), (20, 5), (25, 5), (20, 6))] == [True] + [False] * 3
    assert letters(desk) == [("anna", False)]


@pytest.mark.parametrize("fewer", [(19, 5), (30, 4), (20,)])
def test_one_line_that_is_fewer_is_told_as_a_correction_though_another_is_more(
    desk: Desk, fewer: tuple[int, ...]
) -> None:
    told(desk, delivery(20, 5))

    assert told(desk, delivery(*fewer))
    assert letters(desk) == [("anna", False), ("anna", True)]


def test_what_was_told_last_is_what_counts(desk: Desk) -> None:
    assert [told(desk, delivery(stems)) for stems in (20, 10, 15, 9)] == [True, True, False, True]


def test_of_a_customer_without_an_address_it_is_kept_and_no_letter_goes(desk: Desk) -> None:
    one = replace(delivery(9, customer="bram"), order="bram-weekly")

    assert told(desk, one)
    assert letters(desk) == []
    (entry,) = desk.store.entries_of(SETTLED_TOLD)
    assert entry.facts == {"order": "bram-weekly", "due": "2027-06-15", "customer": "bram", "lines": {"bram-1": 9}}
