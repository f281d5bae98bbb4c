"""Taking back: everything is as it was before, or a sentence says why not and what to take back first."""

import re
import zlib
from contextlib import suppress
from datetime import date
from itertools import product
from random import Random

import pytest

from haulm.errors import HaulmError, NotFound
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.florists.send_availability import send_availability
from haulm.jobs.journal.kinds import KINDS, QUIET
from haulm.jobs.journal.refusals import NotTakenBack
from haulm.jobs.journal.take_back_entry import put_back_entry, take_back_entry
from haulm.jobs.promises.end_quote import release_quote
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.store.history import History, Step
from haulm.store.journal import rebuilt_books, rebuilt_farm
from haulm.store.store import Store
from haulm.store.words import LetterState
from support import scale
from support.bucket_days import BucketDay
from support.desks import NOW, done
from support.ledger_laws import broken_laws
from support.project_tree import ROOT
from support.slip_farm import slip_farm
from support.slip_kinds import NOTES, WRITES
from support.slips import SLIPS
from support.store_states import state_of, unordered, without

PAIRS = sorted(product(SLIPS, SLIPS))
SUNDAY, FRIDAY = date(2027, 6, 20), date(2027, 6, 18)
SOURCES = ("jobs/journal/take_back_entry.py", "jobs/journal/undo.py", "jobs/journal/kinds.py", "store/history.py")
WITH_NAMES = {"a florist entered", "a wedding entered", "stock counted again"}
"""Slips that write a name: taken back it is erased, and so it is not put back."""


def keyed() -> Random:
    """Chance that is the same for a tree, and another once what takes back, or what slips there are, is another."""
    key = zlib.crc32("".join(sorted(SLIPS)).encode())
    for source in SOURCES:
        key = zlib.crc32((ROOT / "service" / "haulm" / source).read_bytes(), key)
    return Random(key)


def taken_back(day: BucketDay, seq: int) -> str | None:
    """Take an entry back; why not, where it is refused."""
    try:
        day.done(lambda work: take_back_entry(day.desk, work, seq))
    except NotTakenBack as refusal:
        return refusal.sentence
    return None


def put_back(day: BucketDay, seq: int) -> str | None:
    """Put an entry back; why not, where it is refused."""
    try:
        day.done(lambda work: put_back_entry(day.desk, work, seq))
    except NotTakenBack as refusal:
        return refusal.sentence
    return None


def sound(store: Store) -> bool:
    """Whether tables and entries say the same, and the books keep their laws."""
    entries, farm = store.entries(), store.farm()
    rebuilt = rebuilt_farm(entries)
    same = all(getattr(farm, name) == getattr(rebuilt, name) for name in ("site", "batches", "records", "order_lines"))
    books = rebuilt_books(entries)
    kept = (books.promises, dict(books.balances)) == (store.promises(), store.stem_balances())
    return same and kept and broken_laws(store) == []


def slips_of(day: BucketDay, name: str) -> list[Step]:
    """The steps that a slip takes, the latest first; none where the farm refused it."""
    before = day.desk.store.version()
    with suppress(HaulmError):
        SLIPS[name](day)
    steps = History(day.desk.store.entries(), QUIET).steps
    return [step for version, step in reversed(steps.items()) if version > before]


def said_of(step: Step) -> set[str]:
    """The sentences by which the kinds of a step say that it is never taken back; none where it can be."""
    kinds = [KINDS[entry.kind] for entry in step.entries]
    loud = [kind for kind in kinds if not kind.is_quiet] or kinds
    return {kind.why_not for kind in loud if kind.why_not}


def test_every_kind_of_entry_has_a_slip_that_writes_it_or_is_a_note() -> None:
    assert {*WRITES, *NOTES} == set(KINDS)
    assert not {*WRITES} & {*NOTES} and set(WRITES.values()) <= set(SLIPS)


@pytest.mark.parametrize("name", SLIPS)
def test_a_slip_taken_back_at_once_leaves_nothing_and_put_back_it_is_as_it_was(name: str) -> None:
    with slip_farm() as day:
        store = day.desk.store
        before = state_of(store)
        steps = slips_of(day, name)
        with_it = state_of(store)
        assert {kind for kind, slip in WRITES.items() if slip == name} <= {
            entry.kind for step in steps for entry in step.entries
        }
        seqs: list[int] = []
        for step in steps:
            held, why = state_of(store), taken_back(day, step.entries[0].seq)
            if never := said_of(step):
                assert why in never and state_of(store) == held
                break
            assert why is None
            seqs.append(step.entries[0].seq)
        else:
            assert seqs and state_of(store) == before
        again = [put_back(day, seq) for seq in reversed(seqs)]
        assert again == [None] * len(seqs) or (name in WITH_NAMES and "write it anew" in (again[0] or ""))
        assert state_of(store) == (before if any(again) else with_it)
        assert sound(store)


@pytest.mark.parametrize("kind", NOTES)
def test_what_the_service_noted_for_itself_says_why_it_is_not_taken_back(kind: str) -> None:
    with slip_farm() as day:
        day.done(lambda work: work.enter(kind, "farm", {"noted": True}))
        held, why = state_of(day.desk.store), taken_back(day, last(day.desk))
        assert why == KINDS[kind].why_not and state_of(day.desk.store) == held


@pytest.mark.parametrize(("first", "second"), keyed().sample(PAIRS, scale.count(16, len(PAIRS))))
def test_of_any_two_slips_the_first_goes_as_if_it_had_never_been_or_a_sentence_says_why_not(
    first: str, second: str
) -> None:
    with slip_farm() as day:
        store = day.desk.store
        start = state_of(store)
        steps = slips_of(day, first)
        after_first = state_of(store)
        later = slips_of(day, second)
        after_both = state_of(store)
        for place, step in enumerate(steps):
            why = taken_back(day, step.entries[0].seq)
            if why is not None:
                assert why.endswith(".") and not re.search(r"[a-z]-[0-9]|_|\b[a-z]+/[a-z]", why)
                assert place or state_of(store) == after_both
                return
        assert unordered(state_of(store)) == without(start, after_first, after_both)
        assert sound(store)
        if all(taken_back(day, step.entries[0].seq) is None for step in later):
            assert state_of(store) == start


def quoted(desk: Desk, stems: int, customer: str) -> str:
    """The key of a quote of so many lagurus for a customer."""
    asked = QuoteAsked(SUNDAY, customer=customer, lines=(OrderLine("", "", stems, Product("lagurus")),))
    return done(desk, lambda work: quote_wedding(desk, work, asked)).order.key


def last(desk: Desk) -> int:
    """The place of the last entry."""
    return desk.store.next_seq() - 1


def test_a_wedding_that_was_let_go_comes_back_only_while_its_stems_are_free(desk: Desk) -> None:
    wedding = quoted(desk, 30, "anna")
    done(desk, lambda work: contract_quote(desk, work, wedding))
    done(desk, lambda work: release_quote(desk, work, wedding))
    released = last(desk)
    other = quoted(desk, 30, "bram")
    done(desk, lambda work: hold_quote(desk, work, other, FRIDAY))

    with pytest.raises(NotTakenBack, match=r"^The stems went to Bram's corner\. "):
        done(desk, lambda work: take_back_entry(desk, work, released))
    done(desk, lambda work: release_quote(desk, work, other))
    done(desk, lambda work: take_back_entry(desk, work, released))
    orders = {order.key: str(order.status) for order in desk.store.farm().orders}
    assert orders == {wedding: "contracted", other: "cancelled"}


def test_what_rests_on_an_entry_is_named_in_words_and_taken_back_first(desk: Desk) -> None:
    done(desk, lambda work: add_row(desk, work, RowAsked("beds", {"key": "pond", "name": "Pond bed two"})))
    bed = last(desk)
    batch = {"key": "b1", "variety": "lagurus", "sow_date": "2027-06-01", "bed": "pond"}
    done(desk, lambda work: add_row(desk, work, RowAsked("batches", batch)))
    added = last(desk)
    done(desk, lambda work: change_row(desk, work, "b1", RowAsked("batches", {"plants": 90}), expected=None))

    with pytest.raises(NotTakenBack) as refusal:
        done(desk, lambda work: take_back_entry(desk, work, added))
    assert refusal.value.sentence == "First take back: Changed, Batch of Bunny tail (Mon 14 Jun, 08:30)."
    assert refusal.value.first == (last(desk),)
    with pytest.raises(NotTakenBack, match=r"First take back: Changed, Batch of Bunny tail") as refusal:
        done(desk, lambda work: take_back_entry(desk, work, bed))
    for seq in (last(desk), added, bed):
        done(desk, lambda work, seq=seq: take_back_entry(desk, work, seq))
    assert (desk.store.farm().beds, desk.store.farm().batches) == ((), ())


def test_a_name_that_was_changed_is_not_in_the_journal_and_so_does_not_come_back(desk: Desk) -> None:
    changed = RowAsked("customers", {"name": "Anna and Kees"})
    done(desk, lambda work: change_row(desk, work, "anna", changed, expected=None))

    with pytest.raises(NotTakenBack, match="the journal holds none"):
        done(desk, lambda work: take_back_entry(desk, work, last(desk)))


def test_the_farm_s_beginning_stays_and_what_never_was_is_not_found(desk: Desk) -> None:
    with pytest.raises(NotTakenBack, match="The farm begins with it"):
        done(desk, lambda work: take_back_entry(desk, work, 1))
    with pytest.raises(NotFound):
        done(desk, lambda work: take_back_entry(desk, work, 999))


def test_nothing_is_taken_back_twice_or_put_back_while_it_stands(desk: Desk) -> None:
    done(desk, lambda work: add_row(desk, work, RowAsked("beds", {"key": "pond", "name": "Pond bed two"})))
    seq = last(desk)
    with pytest.raises(NotTakenBack, match="It stands"):
        done(desk, lambda work: put_back_entry(desk, work, seq))
    done(desk, lambda work: take_back_entry(desk, work, seq))
    with pytest.raises(NotTakenBack, match="taken back already"):
        done(desk, lambda work: take_back_entry(desk, work, seq))
    with pytest.raises(NotTakenBack, match="put back by its own button"):
        done(desk, lambda work: take_back_entry(desk, work, last(desk)))


def test_a_letter_that_waits_stays_here_and_one_that_left_is_corrected(desk: Desk) -> None:
    store = desk.store
    send_availability(desk, "owner")
    first = last(desk)
    (waiting,) = store.outbox.posted()
    done(desk, lambda work: take_back_entry(desk, work, first))
    assert [letter.state for letter in store.outbox.posted()] == [LetterState.LEFT_OUT]
    done(desk, lambda work: put_back_entry(desk, work, first))
    (claimed,) = store.outbox.claim("w", NOW, 5)
    assert claimed.number == waiting.number
    store.outbox.keep_content("w", claimed.number, "m", b"bytes")
    store.outbox.sent("w", claimed.number, "250 taken")

    found = done(desk, lambda work: take_back_entry(desk, work, first))
    correction, sent = store.outbox.posted()
    assert found.letters == 1 and sent.state is LetterState.SENT
    assert (correction.kind, correction.customer, correction.state) == ("taken-back", "anna", LetterState.WAITING)


def test_every_kind_of_entry_that_the_source_writes_has_words_and_a_way() -> None:
    texts = [path.read_text() for path in (ROOT / "service" / "haulm").rglob("*.py")]
    constants = dict(match for text in texts for match in re.findall(r'^([A-Z_]+) = "([a-z-]+)"$', text, re.M))
    for text in texts:
        for names, values in re.findall(r'^([A-Z_]+(?:, [A-Z_]+)+) = ("[a-z-]+"(?:, "[a-z-]+")+)$', text, re.M):
            constants |= dict(zip(names.split(", "), values.replace('"', "").split(", "), strict=True))
    entered = {found for text in texts for found in re.findall(r'\.enter\(\s*([A-Z_]+|"[a-z-]+")', text)}
    named = {one.strip('"') if one.startswith('"') else constants[one] for one in entered}

    assert len(named) > 30
    assert named <= set(KINDS)
