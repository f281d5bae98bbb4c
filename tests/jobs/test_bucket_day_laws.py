"""Whatever is done on bucket days, in whatever order: the books balance, and a confirmed list stays as it is."""

import tempfile
from collections.abc import Callable, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.errors import HaulmError
from haulm.farm.words import Grade, RecordKind
from haulm.jobs.bucket_lines import Choices
from haulm.jobs.confirmed_lists import confirmed_bucket_list
from haulm.jobs.cool_store import WAYS_OUT, cool_store
from haulm.store.words import Account
from support import scale
from support.bucket_days import NEXT_MONDAY, BucketDay, bucket_farm
from support.desks import MONDAY, desk_over, on, sqlite_store
from support.ledger_laws import broken_laws

Step = Callable[[BucketDay], object]

FEW = scale.count(usual=12, large=300)
STEMS = st.integers(0, 130)
A_FEW = st.integers(0, 30)
LINES = st.sampled_from(("anna-1", "bram-1", "cora-1"))
LISTS = st.sampled_from((MONDAY, NEXT_MONDAY))


def cut_of(stems: int, batch: str | None, grade: Grade) -> Step:
    """A cut, whatever was counted."""
    return lambda day: day.cut(stems, batch=batch, grade=grade, more=True)


def confirmed(monday: date, evenly: bool, trimmed: Mapping[str, int]) -> Step:
    """A list confirmed with what was decided of it."""
    due = monday + timedelta(days=1)
    return lambda day: day.confirm(
        monday,
        Choices(
            trimmed={(line, due): stems for line, stems in trimmed.items()},
            evenly=frozenset({"lagurus"} if evenly else ()),
            acknowledged=frozenset({"anna", "bram", "cora"}),
        ),
    )


def recounted(place: int, stems: int) -> Step:
    """A cut was of another number after all."""

    def step(day: BucketDay) -> None:
        cuts = [record.key for record in day.desk.store.farm().records if record.kind is RecordKind.CUT]
        if cuts:
            day.recount(cuts[place % len(cuts)], stems)

    return step


def moved(place: int, to: Account, stems: int) -> Step:
    """Stems of some pile of the store go elsewhere."""

    def step(day: BucketDay) -> None:
        piles = cool_store(day.desk)
        if piles:
            day.move(piles[place % len(piles)].pile, to, stems)

    return step


STEPS: st.SearchStrategy[Step] = st.one_of(
    st.builds(lambda stems: lambda day: day.walk(lagurus=stems), STEMS),
    st.builds(cut_of, STEMS, st.sampled_from((None, "older", "newer")), st.sampled_from(Grade)),
    st.builds(confirmed, LISTS, st.booleans(), st.dictionaries(LINES, st.integers(0, 30), max_size=1)),
    st.builds(lambda line, stems, of: lambda day: day.correct(line, stems, day=of), LINES, A_FEW, LISTS),
    st.builds(lambda line, stems, of: lambda day: day.claim(line, stems, day=of), LINES, A_FEW, LISTS),
    st.builds(lambda of: lambda day: day.deliver(of), LISTS),
    st.builds(recounted, st.integers(0, 5), STEMS),
    st.builds(moved, st.integers(0, 5), st.sampled_from(WAYS_OUT), STEMS),
    st.builds(lambda days: lambda day: on(day.desk, day.desk.today() + timedelta(days=days)), st.integers(1, 4)),
)


@settings(max_examples=FEW, phases=scale.phases())
@given(st.integers(40, 130), st.lists(STEPS, min_size=3, max_size=14))
def test_the_books_balance_and_lists_stay_whatever_is_done(standing: int, steps: list[Step]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        day = BucketDay(desk_over(store, bucket_farm(), seasons=20))
        day.walk(lagurus=standing)
        lists: dict[date, Mapping[str, Any]] = {}
        try:
            for step in steps:
                before = store.stem_balances()
                try:
                    step(day)
                except HaulmError:
                    # A refusal is news; it must have changed nothing.
                    assert store.stem_balances() == before
                assert broken_laws(store) == []
                for monday in (MONDAY, NEXT_MONDAY):
                    found = confirmed_bucket_list(day.desk, monday)
                    assert lists.setdefault(monday, found) == found if found else monday not in lists
            assert day.held(Account.CUT) == 0
        finally:
            store.close()


@settings(max_examples=FEW, phases=scale.phases())
@given(st.integers(0, 130), st.booleans(), st.lists(st.tuples(LINES, st.integers(0, 60)), max_size=6))
def test_corrections_take_back_what_was_packed_and_nothing_else(
    standing: int, evenly: bool, corrections: list[tuple[str, int]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        day = BucketDay(desk_over(store, bucket_farm(), seasons=20))
        day.walk(lagurus=standing)
        sent = {found.line.line: found.filled for found in day.confirm(choices=_shared(evenly)).lines}
        try:
            for line, stems in corrections:
                if stems < sent[line]:
                    day.correct(line, stems)
                    sent[line] = stems
                else:
                    with pytest.raises(HaulmError):
                        day.correct(line, stems)
            assert day.held(Account.PACKED) == sum(sent.values())
            for line in [line for line, stems in sent.items() if stems]:
                day.correct(line, 0)
            assert store.stem_balances() == {}
        finally:
            store.close()


def _shared(evenly: bool) -> Choices:
    return Choices(evenly=frozenset({"lagurus"} if evenly else ()))
