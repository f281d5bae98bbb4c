"""Whatever is walked, cut, confirmed, corrected, moved and delivered, in whatever order: the two books balance."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.errors import HaulmError
from haulm.farm.products import Product
from haulm.farm.words import RecordKind
from haulm.jobs.after_the_list import Correction, correct_list, deliver_list
from haulm.jobs.bucket_lines import BucketLine, Choices
from haulm.jobs.confirm_bucket_list import confirm_bucket_list, post_bucket_list
from haulm.jobs.confirmed_lists import confirmed_bucket_list
from haulm.jobs.cool_store import cool_store, move_stored
from haulm.jobs.desk import Desk
from haulm.jobs.listed import listed_bucket_list
from haulm.jobs.record_cut import CutAsked, record_cut
from haulm.jobs.record_walk import Said, Sighting, Walked, record_walk
from haulm.jobs.share_list_evenly import shared_evenly
from haulm.matching.supply import Lot
from haulm.matching.which_stems import Source
from haulm.planning.keeping import crops_of
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account
from support import scale
from support.desks import NOW, desk_over, on, sqlite_store
from support.known_farm import PARTY, growing_farm, known_farm
from support.ledger_laws import broken_laws

MONDAY = date(2027, 6, 14)
STEP = st.one_of(
    st.tuples(st.just("walk"), st.integers(0, 90)),
    st.tuples(st.just("cut"), st.integers(1, 60)),
    st.tuples(st.just("confirm"), st.integers(0, 25)),
    st.tuples(st.just("correct"), st.integers(0, 25)),
    st.tuples(st.just("deliver"), st.just(0)),
    st.tuples(st.sampled_from(["stall", "dried", "waste"]), st.integers(1, 30)),
)


def growing() -> dict[str, bytes]:
    """The farm of known stems with a batch that is being cut."""
    farm = known_farm(known_stems="key,product,ready_date,stems\nk3,nigella,2027-06-12,30\n", **PARTY)
    batch = b"key,variety,sow_date,method,sown,plants,bed,status\nb1,lagurus,2027-03-01,direct,100,100,south,cutting\n"
    grown = growing_farm()
    return {**farm, "farm.toml": grown["farm.toml"], "beds.csv": grown["beds.csv"], "batches.csv": batch}


def carried_out(desk: Desk, act: Callable[[UnitOfWork], object]) -> bool:
    """Do it in a unit of work; whether it was accepted."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        try:
            act(work)
        except HaulmError:
            return False
        work.save()
    return True


def confirm(desk: Desk, work: UnitOfWork, choices: Choices, day: date = MONDAY) -> None:
    """Confirm a Monday's list."""
    found = confirm_bucket_list(desk, work, day, choices)
    post_bucket_list(work, found, listed_bucket_list(found, confirmed=True))


def step(desk: Desk, work: UnitOfWork, word: str, number: int) -> None:
    """One thing that a grower does on bucket day."""
    match word:
        case "walk":
            record_walk(desk, work, Walked((Sighting(Said.STANDING, variety="lagurus", count=number),)))
        case "cut":
            record_cut(desk, work, CutAsked(number, variety="lagurus", beyond_count=True))
        case "confirm":
            confirm(desk, work, Choices(trimmed={("anna-1", date(2027, 6, 15)): number}))
        case "correct":
            correct_list(desk, work, MONDAY, Correction("party-1", date(2027, 6, 18), number, "broken"))
        case "deliver":
            deliver_list(work, MONDAY)
        case _:
            pile = next((one.pile for one in cool_store(desk)), "none")
            move_stored(desk, work, pile, Account(word), number)


@given(st.lists(STEP, min_size=1, max_size=10))
@settings(max_examples=scale.count(usual=12, large=300), phases=scale.phases())
def test_the_books_balance_after_whatever_is_done_and_a_confirmed_list_stays(steps: list[tuple[str, int]]) -> None:
    with TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        try:
            desk = desk_over(store, growing(), seasons=20)
            confirmed = None
            for word, number in steps:
                carried_out(desk, lambda work, word=word, number=number: step(desk, work, word, number))
                assert broken_laws(store) == []
                confirmed = confirmed or confirmed_bucket_list(desk, MONDAY)
                assert confirmed_bucket_list(desk, MONDAY) == confirmed
            assert cut_stems(desk) <= -field_stems(desk)
        finally:
            store.close()


def cut_stems(desk: Desk) -> int:
    """Stems that the records say were cut."""
    return sum(record.count or 0 for record in desk.store.farm().records if record.kind is RecordKind.CUT)


def field_stems(desk: Desk) -> int:
    """The account of the field; below zero by what it gave."""
    return sum(stems for pile, stems in desk.store.stem_balances().items() if pile.account is Account.FIELD)


def test_stems_taken_back_from_a_list_are_packed_again_before_more_are_cut(open_desk: Callable[..., Desk]) -> None:
    desk = open_desk(
        {**growing(), "varieties.csv": growing()["varieties.csv"].replace(b",4,3,10,450", b",10,3,10,450")}
    )
    carried_out(
        desk, lambda work: record_walk(desk, work, Walked((Sighting(Said.STANDING, variety="lagurus", count=60),)))
    )
    assert carried_out(desk, lambda work: confirm(desk, work, Choices()))
    packed = -field_stems(desk)
    assert carried_out(desk, lambda work: record_cut(desk, work, CutAsked(packed, batch="b1", beyond_count=True)))
    assert cool_store(desk) == ()

    correction = Correction("anna-1", date(2027, 6, 15), 20, "broken")
    assert carried_out(desk, lambda work: correct_list(desk, work, MONDAY, correction))
    assert [one.stems for one in cool_store(desk)] == [5]
    on(desk, date(2027, 6, 21))
    assert carried_out(desk, lambda work: confirm(desk, work, Choices(), date(2027, 6, 21)))
    assert cool_store(desk) == ()
    assert broken_laws(desk.store) == []


def test_an_even_share_never_makes_a_line_more_than_it_asked(open_desk: Callable[..., Desk]) -> None:
    orders = """
        key,customer,kind,due_date,committed_on,status
        one,anna,one_off,2027-06-18,2027-06-01,contracted
        two,bram,one_off,2027-06-18,2027-06-02,contracted
        """
    lines = """
        key,order,stems,product,substitutes
        one-1,one,50,lagurus,
        two-1,two,50,lagurus,nigella
        """
    desk = open_desk(known_farm(orders=orders, order_lines=lines))
    dated = {line.line: line for line in desk.plan().careful.result.lines if line.line in ("one-1", "two-1")}
    lagurus, nigella = Product("lagurus"), Product("nigella")
    of_k1, of_k3 = Lot(MONDAY, key="k1"), Lot(MONDAY, key="k3")
    drafted = [
        BucketLine(dated["one-1"], 40, 4, 0, (Source(lagurus, 0, of_k1, 40),), None),
        BucketLine(dated["two-1"], 50, 5, 0, (Source(lagurus, 0, of_k1, 10), Source(nigella, 0, of_k3, 40)), None),
    ]
    crops = crops_of(desk.store.farm())

    shared = shared_evenly(drafted, frozenset({"lagurus"}), frozenset(), crops)

    # 50 stems for 50 and 50: 25 each, in bunches 20 and 20, and one bunch by turn; nigella fills up to 50, not beyond.
    assert sorted(bucket.share.stems for bucket in shared if bucket.share) == [20, 30]
    assert all(bucket.filled <= bucket.line.stems for bucket in shared)
