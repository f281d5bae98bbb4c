"""What letters told is read from the journal: who was told what is expected, and the last and the most of each line."""

from datetime import date

from haulm.jobs.bucket_day.confirmed_lists import subject_of
from haulm.jobs.bucket_day.told_letters import (
    EXPECTED_TOLD,
    SETTLED_TOLD,
    last_settled_told,
    stems_written,
    told_expected,
)
from haulm.jobs.desk.desk import Desk
from support.desks import MONDAY, done

TUESDAY, NEXT = date(2027, 6, 15), date(2027, 6, 21)
ANNA = ("anna-weekly", TUESDAY)


def told(desk: Desk, kind: str, day: date = MONDAY, **facts: object) -> None:
    done(desk, lambda work: work.enter(kind, subject_of(day), facts))


def settled(desk: Desk, day: date = MONDAY, order: str = "anna-weekly", **lines: int) -> None:
    named = {name.replace("_", "-"): stems for name, stems in lines.items()}
    told(desk, SETTLED_TOLD, day, order=order, due=TUESDAY.isoformat(), customer="anna", lines=named)


def test_who_was_told_what_is_expected_of_a_day_is_told_of_that_day_alone(desk: Desk) -> None:
    told(desk, EXPECTED_TOLD, customers=["anna"])
    told(desk, EXPECTED_TOLD, customers=["bram", "anna"])

    assert told_expected(desk.store, MONDAY) == {"anna", "bram"}
    assert told_expected(desk.store, NEXT) == frozenset()


def test_the_last_letter_of_a_delivery_is_what_it_was_told(desk: Desk) -> None:
    settled(desk, anna_1=25)
    settled(desk, order="bram-weekly", bram_1=9)
    settled(desk, anna_1=20)
    entries = desk.store.entries_of(SETTLED_TOLD, about=subject_of(MONDAY))

    assert last_settled_told(entries, ANNA) == {"anna-1": 20}
    assert last_settled_told(entries, ("anna-weekly", NEXT)) is None
    assert last_settled_told((), ANNA) is None


def test_the_most_that_was_written_of_a_line_stays_whatever_was_told_later(desk: Desk) -> None:
    settled(desk, anna_1=25, anna_2=0)
    settled(desk, anna_1=20, anna_2=4)
    settled(desk, day=NEXT, anna_1=90)

    assert stems_written(desk.store, MONDAY) == {("anna-1", TUESDAY): 25, ("anna-2", TUESDAY): 4}
