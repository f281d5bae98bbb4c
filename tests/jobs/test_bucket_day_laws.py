"""Whatever is done on bucket days, in whatever order: both books balance, and what is settled is what is packed."""

import tempfile
from collections.abc import Callable, Mapping
from datetime import date, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.errors import HaulmError
from haulm.farm.words import Grade, RecordKind
from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.confirm_bucket_list import Settling
from haulm.jobs.bucket_day.reasons import Reason
from haulm.jobs.bucket_day.see_week import see_week
from haulm.jobs.desk.seen import ANY_TAG
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.field.cool_store import WAYS_OUT, cool_store
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.warning.run_due import run_due
from haulm.store.words import Account
from support import scale
from support.bucket_days import NEXT_MONDAY, BucketDay, bucket_farm
from support.desks import MONDAY, desk_over, on, sqlite_store
from support.ledger_laws import broken_laws

Step = Callable[[BucketDay], object]

FEW = scale.count(usual=12, large=200)
STEMS = st.integers(0, 130)
A_FEW = st.integers(0, 60)
LINES = st.sampled_from(("anna-1", "bram-1", "cora-1"))
ORDERS = st.sampled_from(("anna-weekly", "bram-weekly", "cora-weekly"))
LISTS = st.sampled_from((MONDAY, NEXT_MONDAY))
EVERYBODY = frozenset({"anna", "bram", "cora"})
REASONS = st.sampled_from((*Reason, "more"))


def cut_of(stems: int, batch: str | None, grade: Grade) -> Step:
    """A cut, whatever was counted."""
    return lambda day: day.cut(stems, batch=batch, grade=grade, more=True)


def settled(monday: date, evenly: bool, trimmed: Mapping[str, int]) -> Step:
    """All that can be settled of a list, with what was decided of it."""
    due = monday + timedelta(days=1)
    choices = Choices(
        trimmed={(line, due): stems for line, stems in trimmed.items()},
        evenly=frozenset({"lagurus"} if evenly else ()),
        acknowledged=EVERYBODY,
    )
    return lambda day: day.confirm(monday, choices)


def by_word(monday: date, order: str) -> Step:
    """One delivery, by the grower's word that no cut is made for it."""
    key = (order, monday + timedelta(days=1))
    choices = Choices(acknowledged=EVERYBODY, no_cut=frozenset({key}))
    return lambda day: day.confirm(monday, choices, Settling(deliveries={key: ANY_TAG}))


def lost(batch: str) -> Step:
    """A batch is lost."""
    asked = RowAsked("records", {"kind": "lost", "batch": batch})
    return lambda day: day.done(lambda work: add_row(day.desk, work, asked))


def late_order(stems: int) -> Step:
    """Cora wants some more on Tuesday, and the owner says yes whoever loses by it."""

    def step(day: BucketDay) -> None:
        due = (day.desk.today() + timedelta(days=1)).isoformat()
        key = f"late-{len(day.desk.store.farm().orders)}"
        order = {"key": key, "customer": "cora", "kind": "wedding", "due_date": due, "status": "quoted"}
        line = {"key": f"{key}-1", "order": key, "product": "lagurus", "stems": max(1, stems)}
        day.done(lambda work: add_row(day.desk, work, RowAsked("orders", order)))
        day.done(lambda work: add_row(day.desk, work, RowAsked("order_lines", line)))
        day.done(lambda work: contract_quote(day.desk, work, key, override="she is a friend"))

    return step


def counted(place: int, stems: int) -> Step:
    """Somebody takes stock of a pile."""

    def step(day: BucketDay) -> None:
        piles = cool_store(day.desk)
        if piles:
            day.count(piles[place % len(piles)].pile, stems)

    return step


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


def told(monday: date, order: str, line: str, stems: int) -> Step:
    """What left on a day that is over."""
    key = (order, monday + timedelta(days=1))
    return lambda day: day.tell(monday, key, {line: stems})


STEPS: st.SearchStrategy[Step] = st.one_of(
    st.builds(lambda stems: lambda day: day.walk(lagurus=stems), STEMS),
    st.builds(cut_of, STEMS, st.sampled_from((None, "older", "newer")), st.sampled_from(Grade)),
    st.builds(lost, st.sampled_from(("older", "newer"))),
    st.builds(settled, LISTS, st.booleans(), st.dictionaries(LINES, st.integers(0, 30), max_size=1)),
    st.builds(by_word, LISTS, ORDERS),
    st.builds(
        lambda line, stems, of, why: lambda day: day.correct(line, stems, day=of, reason=why),
        LINES,
        A_FEW,
        LISTS,
        REASONS,
    ),
    st.builds(lambda of, order: lambda day: day.take_back(of, order), LISTS, st.one_of(st.none(), ORDERS)),
    st.builds(lambda line, stems, of: lambda day: day.claim(line, stems, day=of), LINES, A_FEW, LISTS),
    st.builds(lambda of: lambda day: day.deliver(of), LISTS),
    st.builds(told, LISTS, ORDERS, LINES, A_FEW),
    st.builds(recounted, st.integers(0, 5), STEMS),
    st.builds(moved, st.integers(0, 5), st.sampled_from(WAYS_OUT), STEMS),
    st.builds(counted, st.integers(0, 5), STEMS),
    st.builds(late_order, A_FEW),
    st.just(lambda day: run_due(day.desk, writes_letters=False)),
    st.builds(lambda days: lambda day: on(day.desk, day.desk.today() + timedelta(days=days)), st.integers(1, 4)),
)


@settings(max_examples=FEW, phases=scale.phases())
@given(st.integers(40, 130), st.lists(STEPS, min_size=3, max_size=14))
def test_the_books_balance_after_every_step_of_any_history(standing: int, steps: list[Step]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        day = BucketDay(desk_over(store, bucket_farm(), seasons=20))
        day.walk(lagurus=standing)
        day.cut(standing, left=5, more=True)
        try:
            for step in steps:
                before = store.stem_balances()
                try:
                    step(day)
                except HaulmError:
                    # A refusal is news; it must have changed nothing.
                    assert store.stem_balances() == before
                assert broken_laws(store) == []
            assert day.held(Account.CUT) == 0
        finally:
            store.close()


@settings(max_examples=FEW, phases=scale.phases())
@given(st.integers(0, 130), st.booleans(), st.lists(st.tuples(LINES, A_FEW), max_size=6))
def test_corrections_up_and_down_move_between_the_store_and_the_buckets_and_nowhere_else(
    cut: int, evenly: bool, corrections: list[tuple[str, int]]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        day = BucketDay(desk_over(store, bucket_farm(), seasons=20))
        day.cut(cut or 1, left=0)
        day.confirm(choices=Choices(evenly=frozenset({"lagurus"} if evenly else ()), acknowledged=EVERYBODY))
        try:
            for line, stems in corrections:
                try:
                    day.correct(line, stems)
                except HaulmError:
                    continue
                (sent,) = (one["filled"] for one in lines_of(day) if one["line"] == line)
                assert sent == stems
            assert day.held(Account.PACKED) == sum(one["filled"] for one in lines_of(day))
            assert day.held(Account.PACKED) + day.held(Account.STORE) == (cut or 1)
            day.take_back()
            assert (day.held(Account.PACKED), day.held(Account.STORE)) == (0, cut or 1)
        finally:
            store.close()


def lines_of(day: BucketDay) -> list[Mapping[str, int]]:
    """The settled lines of Monday's list."""
    return [line for one in see_week(day.desk, MONDAY).settled for line in one.lines]
