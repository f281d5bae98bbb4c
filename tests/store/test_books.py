"""The two books: a promise resolves at most once, stems leave only where they are, and nothing is posted twice."""

from datetime import UTC, date, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulm.farm.products import Product
from haulm.store.errors import PostingKeyReused, PromiseOutOfTurn, StemsNotThere
from haulm.store.journal import Pile, Promise, StemPosting, rebuilt_books
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState
from support import scale

NOW = datetime(2027, 5, 20, 12, tzinfo=UTC)
DUE = date(2027, 6, 24)
LAGURUS = Product("lagurus")
PILE = Pile("b1", LAGURUS, Account.CUT)


def promised(store: Store, *states: str) -> list[int | None]:
    """Makes one line enter states, each in a unit of work of its own; what each resolves."""
    resolved = []
    for state in states:
        with store.unit_of_work(actor="owner", now=NOW) as work:
            seq = work.enter("promised", "orders/wedding")
            promise = Promise("wedding-1", DUE, "wedding", PromiseState(state), 30, 0.8)
            resolved.append(work.promise(promise, entry=seq).resolves)
            work.save()
    return resolved


def posted(work: UnitOfWork, key: str = "p1", *, stems: int = 10, start: str = "field", end: str = "cut") -> bool:
    """Posts stems of lagurus from batch b1, as an entry of its own."""
    posting = StemPosting(key, LAGURUS, "b1", Account(start), Account(end), stems)
    return work.post(posting, entry=work.enter("moved", "batches/b1"))


def test_each_promise_resolves_the_open_one_before_it(store: Store) -> None:
    assert promised(store, "asked", "held", "held", "contracted", "delivered") == [None, 1, 2, 3, 4]
    assert [(p.number, p.state) for p in store.promises(line="wedding-1")][-1] == (5, PromiseState.DELIVERED)
    assert store.promises(order="other") == ()


def test_a_hold_resolves_at_most_once(store: Store) -> None:
    promised(store, "held", "lapsed")

    with pytest.raises(PromiseOutOfTurn, match="is lapsed; it cannot become released"):
        promised(store, "released")
    assert promised(store, "held") == [None]


@pytest.mark.parametrize(("first", "second"), [("contracted", "lapsed"), ("contracted", "held"), ("held", "asked")])
def test_a_promise_never_goes_back(store: Store, first: str, second: str) -> None:
    promised(store, first)

    with pytest.raises(PromiseOutOfTurn):
        promised(store, second)


def test_a_line_of_an_imported_farm_may_be_delivered_without_a_record_before(store: Store) -> None:
    assert promised(store, "delivered") == [None]


def test_one_line_on_two_days_is_two_promises(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        seq = work.enter("promised", "standing_orders/weekly")
        first, second = (
            work.promise(Promise("weekly-1", due, "weekly", PromiseState.HELD, 5), entry=seq)
            for due in (DUE, date(2027, 7, 1))
        )
        work.save()

    assert (first.resolves, second.resolves) == (None, None)


def test_a_promise_joins_an_entry_of_its_own_unit_of_work_only(store: Store) -> None:
    promised(store, "held")

    with store.unit_of_work(actor="owner", now=NOW) as work, pytest.raises(AssertionError, match="entry 1 is not of"):
        work.promise(Promise("wedding-1", DUE, "wedding", PromiseState.RELEASED, 30), entry=1)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        assert [promise.state for promise in work.promises("wedding-1", DUE)] == [PromiseState.HELD]


def test_the_same_posting_happens_once(store: Store) -> None:
    for expected in (True, False):
        with store.unit_of_work(actor="owner", now=NOW) as work:
            assert posted(work) is expected
            work.save()

    assert store.stem_balances() == {PILE: 10, Pile("b1", LAGURUS, Account.FIELD): -10}


def test_a_posting_key_stands_for_one_posting(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        posted(work)
        with pytest.raises(PostingKeyReused):
            posted(work, stems=11)


def test_only_the_field_gives_what_nobody_counted(store: Store) -> None:
    with store.unit_of_work(actor="owner", now=NOW) as work:
        posted(work, stems=10)
        with pytest.raises(StemsNotThere, match="'cut' holds 10 stems of lagurus from b1; 11 were to leave it"):
            posted(work, "p2", stems=11, start="cut", end="store")
        assert posted(work, "p2", stems=10, start="cut", end="store")


MOVES = st.tuples(
    st.sampled_from(("b1", "b2")), st.sampled_from(Account), st.sampled_from(Account), st.integers(1, 20)
).filter(lambda move: move[1] is not move[2])


@given(moves=st.lists(MOVES, min_size=5, max_size=30))
@settings(max_examples=scale.count(10, 200), suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_posted_the_book_balances_and_only_the_field_owes(
    store: Store, moves: list[tuple[str, Account, Account, int]]
) -> None:
    start = store.version()
    with store.unit_of_work(actor="owner", now=NOW) as work:
        seq = work.enter("moved", "stems")
        for n, (source, out, into, stems) in enumerate(moves):
            try:
                work.post(StemPosting(f"{start}:{n}", LAGURUS, f"{start}-{source}", out, into, stems), entry=seq)
            except StemsNotThere:
                continue
        version = work.save()
    balances = store.stem_balances()

    assert sum(balances.values()) == 0
    assert all(stems > 0 for pile, stems in balances.items() if pile.account is not Account.FIELD)
    assert rebuilt_books(store.entries()).balances == balances
    assert version == start + 1
