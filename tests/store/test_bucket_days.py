"""A bucket day from the walk to the claim, on each database: the same books, and nothing twice."""

from threading import Thread

import pytest

from haulm.errors import HaulmError
from haulm.jobs.bucket_day.after_the_list import claims
from haulm.jobs.bucket_day.confirmed_lists import confirmed_bucket_list
from haulm.jobs.bucket_day.refusals import ListConfirmed
from haulm.store.errors import StemsNotThere
from haulm.store.store import Store
from haulm.store.words import Account
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, desk_over
from support.ledger_laws import broken_laws

ACCOUNTS = (Account.FIELD, Account.STORE, Account.PACKED, Account.DELIVERED, Account.STALL, Account.WASTE)


@pytest.fixture
def day(store: Store) -> BucketDay:
    """Monday 14 June, with 90 stems counted for 60, 40 and 20."""
    opened = BucketDay(desk_over(store, bucket_farm(), seasons=40))
    opened.walk(lagurus=90)
    return opened


def test_a_bucket_day_ends_with_the_same_books_on_each_database(day: BucketDay) -> None:
    pile = day.cut(90, batch="older", left=0)
    day.confirm()
    day.correct("anna-1", 45)
    confirmed = confirmed_bucket_list(day.desk, MONDAY)
    day.deliver()
    day.claim("bram-1", 4, credit=180)
    day.move(pile, Account.STALL, 10)
    day.move(pile, Account.WASTE, 5)

    assert [day.held(account) for account in ACCOUNTS] == [-90, 0, 0, 75, 10, 5]
    assert confirmed_bucket_list(day.desk, MONDAY) == confirmed
    assert claims(day.desk)[0].batches == ("older",)
    assert broken_laws(day.desk.store) == []


def test_a_refusal_leaves_the_books_as_they_were(day: BucketDay) -> None:
    pile = day.cut(20, left=70)
    before = day.desk.store.stem_balances(), len(day.desk.store.entries())

    with pytest.raises(StemsNotThere):
        day.move(pile, Account.WASTE, 21)
    assert (day.desk.store.stem_balances(), len(day.desk.store.entries())) == before


def test_of_two_who_confirm_a_list_at_once_one_is_refused(day: BucketDay) -> None:
    refusals: list[HaulmError] = []

    def confirm() -> None:
        try:
            day.confirm()
        except HaulmError as refused:
            refusals.append(refused)

    day.cut(90, left=0)
    both = [Thread(target=confirm) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join()

    assert [type(refused) for refused in refusals] == [ListConfirmed]
    assert day.held(Account.PACKED) == 90
    assert broken_laws(day.desk.store) == []
