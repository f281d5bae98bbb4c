"""Stems that were never cut never enter the store, and stock that was cut is in it, whatever is done."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.records import Record
from haulm.farm.words import Grade, RecordKind
from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.confirm_bucket_list import Settling
from haulm.jobs.bucket_day.cut_list import cut_list
from haulm.jobs.bucket_day.season_end import season_end
from haulm.jobs.desk.seen import ANY_TAG
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.field.cool_store import cool_store, ways_out
from haulm.store.store import Store
from haulm.store.words import Account
from support import scale
from support.bucket_days import NEXT_MONDAY, BucketDay, bucket_farm
from support.desks import MONDAY, desk_over, migrated, on, sqlite_store
from support.ledger_laws import broken_laws, known_cut, said_of
from support.postgres import Cluster

STOCK = """
    key,product,ready_date,stems,cut_date,usable_until
    attic,lagurus:dried,2026-09-01,50,,
    bought,lagurus,2027-06-12,30,2027-06-13,
    coming,lagurus,2027-06-16,20,2027-06-16,
    counted,lagurus,2027-06-13,12,,
    """
NINES = bucket_farm(asked=(54, 27))["varieties.csv"].replace(b",10,450", b",9,450").decode()
TUESDAY = MONDAY + timedelta(days=1)
NO_CUT = Settling(deliveries=dict.fromkeys([(f"{name}-weekly", TUESDAY) for name in ("anna", "bram", "cora")], ANY_TAG))
"""All of Monday's deliveries, by the grower's word that nothing more is cut for them."""
Stores = Callable[[], AbstractContextManager[Store]]
Step = Callable[[BucketDay], object]


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def stores(request: pytest.FixtureRequest) -> Stores:
    """Gives a store of its own each time it is asked, on each engine."""

    @contextmanager
    def opened() -> Iterator[Store]:
        with TemporaryDirectory() as folder:
            if request.param == "sqlite":
                store = sqlite_store(Path(folder))
                yield store
                store.close()
                return
            cluster: Cluster = request.getfixturevalue("postgres_cluster")
            with cluster.copied(cluster.prepared("haulm_tables", migrated)) as address:
                store = Store.open(address)
                yield store
                store.close()

    return opened


def stock_farm() -> dict[str, bytes]:
    """The farm of a bucket day with stock in the attic, bought in, on its way, and counted standing."""
    lines = [line.strip() for line in STOCK.strip().splitlines()]
    return bucket_farm(known_stems="\n".join(lines))


def in_store(day: BucketDay) -> dict[str, int]:
    """The stems of the store, by pile."""
    return {one.pile: one.stems for one in cool_store(day.desk)}


@pytest.mark.parametrize("is_cut_first", [True, False])
def test_of_81_packed_stems_the_34_that_were_cut_come_back_to_the_store(store: Store, is_cut_first: bool) -> None:
    day = BucketDay(desk_over(store, bucket_farm(asked=(54, 27), varieties=NINES), seasons=40))
    day.walk(lagurus=82)
    if is_cut_first:
        day.cut(34, left=48)
        day.confirm()
        assert day.held(Account.PACKED) == 34
    else:
        day.confirm_as_before({"anna-1": 54, "bram-1": 27})
        day.cut(34, left=48)
        assert day.held(Account.PACKED) == 81

    day.correct("anna-1", 0)
    if not is_cut_first:
        day.correct("bram-1", 0)

    assert (day.held(Account.STORE), day.held(Account.FIELD)) == (34, -34)
    assert sum(in_store(day).values()) == 34
    assert broken_laws(store) == []


def test_what_was_never_cut_goes_back_first_and_is_no_longer_to_be_cut(store: Store) -> None:
    day = BucketDay(desk_over(store, bucket_farm(), seasons=40))
    day.walk(lagurus=90)
    day.confirm_as_before({"anna-1": 60, "bram-1": 30, "cora-1": 0})
    cut = day.cut(50, batch="older", left=40)
    assert [row.stems for row in cut_list(day.desk, MONDAY).rows] == [40]

    day.correct("anna-1", 25)
    assert (in_store(day), [row.stems for row in cut_list(day.desk, MONDAY).rows]) == ({}, [5])
    day.correct("anna-1", 10)
    assert in_store(day) == {cut: 10}


def test_a_cut_is_not_taken_for_what_was_packed_from_the_field_after_it(store: Store) -> None:
    day = BucketDay(desk_over(store, bucket_farm(asked=(60,)), seasons=40))
    day.cut(34, left=50)
    day.confirm_as_before({"anna-1": 60})
    day.cut(50, left=0)

    # An earlier release packed 60 from the field; the 50 that were cut after it make up for as many of them.
    assert sum(in_store(day).values()) == day.held(Account.STORE) == 34
    assert sum(known_cut(day.desk.plan()).values()) == 34


def test_stock_that_was_cut_is_in_the_store_and_stock_to_come_is_not_yet(store: Store) -> None:
    day = BucketDay(desk_over(store, stock_farm(), seasons=40))
    assert in_store(day) == {"attic": 50, "bought": 30}
    assert [one.pile for one in cool_store(day.desk)] == ["attic", "bought"]

    on(day.desk, MONDAY + timedelta(days=2))
    assert in_store(day) == {"attic": 50, "bought": 30, "coming": 20}


def test_stock_goes_where_stems_of_the_store_go_and_is_then_on_no_list(store: Store) -> None:
    day = BucketDay(desk_over(store, stock_farm(), seasons=40))
    day.move("bought", Account.STALL, 10)
    day.move("bought", Account.DRIED, 5)
    day.move("attic", Account.WASTE, 8)

    hung = next(known.key for known in store.farm().known_stems if known.key.startswith("hung-"))
    assert in_store(day) == {"attic": 42, "bought": 15, hung: 5}
    assert known_cut(day.desk.plan()) == {
        ("attic", "lagurus:dried"): 42,
        ("bought", "lagurus"): 15,
        ("coming", "lagurus"): 20,
        (hung, "lagurus:dried"): 5,
    }
    with pytest.raises(HaulmError, match="16"):
        day.move("bought", Account.WASTE, 16)
    with pytest.raises(NotAccepted, match="dried stems"):
        day.move("attic", Account.DRIED, 1)
    for elsewhere in ("coming", "counted"):
        with pytest.raises(NotAccepted, match="a pile that is in the cool store"):
            day.move(elsewhere, Account.WASTE, 1)
    assert broken_laws(store) == []


def test_a_list_takes_stock_from_the_store_and_gives_it_back_there(store: Store) -> None:
    day = BucketDay(desk_over(store, stock_farm(), seasons=40))
    day.confirm(settling=NO_CUT)
    packed = {pile.source: n for pile, n in store.stem_balances().items() if pile.account is Account.PACKED}
    # What was counted standing is packed by nobody.
    assert packed == {"bought": 30}
    assert in_store(day) == {"attic": 50}

    day.correct("anna-1", 0)
    assert in_store(day) == {"attic": 50, "bought": 30}
    assert all(pile.source == "bought" for pile in store.stem_balances())
    assert broken_laws(store) == []


def test_stock_is_not_counted_again_to_less_than_has_left_the_store(store: Store) -> None:
    day = BucketDay(desk_over(store, stock_farm(), seasons=40))

    def count(stems: int) -> None:
        asked = RowAsked("known_stems", {"stems": stems})
        day.done(lambda work: change_row(day.desk, work, "bought", asked, expected=None))

    day.confirm(settling=NO_CUT)
    with pytest.raises(NotAccepted, match="at least 30: they have left the store"):
        count(29)
    day.correct("anna-1", 0)
    assert in_store(day) == {"attic": 50, "bought": 30}
    count(12)

    assert in_store(day) == {"attic": 50, "bought": 12}
    assert broken_laws(store) == []


@pytest.mark.parametrize("kind", ["cut", "hung"])
def test_a_record_of_cut_stems_puts_them_into_the_store_however_it_is_written(store: Store, kind: str) -> None:
    day = BucketDay(desk_over(store, bucket_farm(), seasons=40))
    values: dict[str, object] = {"kind": kind, "batch": "older", "count": 40, "left": 0}
    record = day.done(lambda work: add_row(day.desk, work, RowAsked("records", values)))

    assert in_store(day) == {record.key: 40}
    assert day.held(Account.STORE) == 40
    day.recount(record.key, 30) if kind == "cut" else day.move(record.key, Account.WASTE, 10)
    assert in_store(day) == {record.key: 30}
    assert broken_laws(store) == []


def test_a_cut_counted_again_days_later_is_as_old_and_as_good_as_it_was_and_leaves_as_much_standing(
    store: Store,
) -> None:
    day = BucketDay(desk_over(store, bucket_farm(), seasons=40))
    first, seconds = day.cut(40, batch="older", left=25), day.cut(9, batch="newer", left=12, grade=Grade.B)
    (old,) = [one for one in cool_store(day.desk) if one.pile == first]
    on(day.desk, MONDAY + timedelta(days=2))
    day.recount(first, 38)
    day.recount(seconds, 7)

    assert in_store(day) == {first: 38, seconds: 7}
    assert known_cut(day.desk.plan()) == {(first, "lagurus"): 38}
    (new,) = [one for one in cool_store(day.desk) if one.pile == first]
    assert (new.cut_on, new.usable_until) == (MONDAY, old.usable_until)
    assert [day.desk.plan().growth.seen.evidence[batch].left for batch in ("older", "newer")] == [25, 12]


def test_what_was_packed_before_its_cut_is_sold_of_its_batch_but_for_what_came_back(store: Store) -> None:
    day = BucketDay(desk_over(store, bucket_farm(), seasons=40))
    day.walk(lagurus=90)
    day.confirm_as_before({"anna-1": 60, "bram-1": 30, "cora-1": 0})
    day.cut(90, batch="older", left=0)
    day.correct("anna-1", 45)
    (batch,) = season_end(day.desk, MONDAY.year).batches

    assert (batch.batch, batch.cut, batch.sold) == ("older", 90, 75)


LINES = st.sampled_from(("anna-1", "bram-1", "cora-1"))
LISTS = st.sampled_from((MONDAY, NEXT_MONDAY))
FEW = st.integers(0, 60)
SAID_OF_CUTS = (RecordKind.CUT, RecordKind.HUNG, RecordKind.CORRECTED)


def cut_of(stems: int, batch: str | None, left: int | None, grade: Grade) -> Step:
    """Stems of lagurus were cut, or of a batch of it."""
    return lambda day: day.cut(stems, batch=batch, left=left, grade=grade, more=True)


def counted_again(place: int, stems: int, grade: Grade | None = None) -> Step:
    """Some cut, or some known stems, were another number after all; the cut maybe of another grade as well."""

    def step(day: BucketDay) -> None:
        farm = day.desk.store.farm()
        cuts = [record.key for record in farm.records if record.kind in SAID_OF_CUTS]
        if place < len(cuts):
            values = {"kind": "corrected", "corrects": cuts[place], "count": stems}
            asked = RowAsked("records", values if grade is None else {**values, "grade": str(grade)})
            day.done(lambda work: add_row(day.desk, work, asked))
        elif farm.known_stems:
            key = farm.known_stems[place % len(farm.known_stems)].key
            asked = RowAsked("known_stems", {"stems": stems})
            day.done(lambda work: change_row(day.desk, work, key, asked, expected=None))

    return step


def instead(place: int, stems: int) -> Step:
    """A record of cut stems was of another batch, and a cut of that one is written in its place."""

    def step(day: BucketDay) -> None:
        cuts = [record.key for record in day.desk.store.farm().records if record.kind in SAID_OF_CUTS]
        if cuts:
            values = {"kind": "cut", "batch": "older", "count": stems, "corrects": cuts[place % len(cuts)]}
            day.done(lambda work: add_row(day.desk, work, RowAsked("records", values)))

    return step


def moved(place: int, way: int, stems: int) -> Step:
    """Stems of some pile of the store go elsewhere."""

    def step(day: BucketDay) -> None:
        piles = cool_store(day.desk)
        if piles:
            pile = piles[place % len(piles)]
            ways = ways_out(pile.product)
            day.move(pile.pile, ways[way % len(ways)], stems)

    return step


def hung(stems: int) -> Step:
    """Stems of a batch are hung to dry."""
    values: dict[str, object] = {"kind": "hung", "batch": "newer", "count": stems, "left": 20}
    return lambda day: day.done(lambda work: add_row(day.desk, work, RowAsked("records", values)))


def sent(monday: date, line: str, stems: int) -> Step:
    """A list, with fewer for one line."""
    choices = Choices(
        trimmed={(line, monday + timedelta(days=1)): stems}, acknowledged=frozenset({"anna", "bram", "cora"})
    )
    return lambda day: day.confirm(monday, choices)


STEPS: st.SearchStrategy[Step] = st.one_of(
    st.builds(lambda stems: lambda day: day.walk(lagurus=stems), st.integers(0, 130)),
    st.builds(
        cut_of,
        FEW,
        st.sampled_from((None, "older", "newer")),
        st.sampled_from((None, 0, 40)),
        st.sampled_from((Grade.A, Grade.A, Grade.B)),
    ),
    st.builds(sent, LISTS, LINES, FEW),
    st.builds(lambda line, stems, of: lambda day: day.correct(line, stems, day=of), LINES, FEW, LISTS),
    st.builds(counted_again, st.integers(0, 6), FEW, st.sampled_from((None, None, *Grade))),
    st.builds(instead, st.integers(0, 6), FEW),
    st.builds(moved, st.integers(0, 6), st.integers(0, 2), FEW),
    st.builds(hung, FEW),
    st.builds(lambda of: lambda day: day.deliver(of), LISTS),
    st.builds(lambda days: lambda day: on(day.desk, day.desk.today() + timedelta(days=days)), st.integers(1, 4)),
)


@example([cut_of(5, None, None, Grade.A), cut_of(3, None, None, Grade.B), counted_again(1, 1)])
@example([cut_of(24, "older", 0, Grade.A), counted_again(0, 1), counted_again(0, 4, Grade.B)])
@example([cut_of(24, "older", 0, Grade.A), counted_again(0, 1), counted_again(0, 4)])
@example([cut_of(24, "newer", 0, Grade.A), instead(0, 30), moved(0, 1, 3)])
@given(st.lists(STEPS, min_size=4, max_size=14))
@settings(
    max_examples=scale.count(usual=4, large=300),
    phases=scale.phases(),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_whatever_is_done_the_store_holds_what_was_cut_and_is_still_there(stores: Stores, steps: list[Step]) -> None:
    with stores() as store:
        day = BucketDay(desk_over(store, stock_farm(), seasons=20))
        day.walk(lagurus=90)
        for step in steps:
            try:
                step(day)
            except HaulmError:
                continue
            finally:
                assert broken_laws(store) == []
                assert_the_store_is_what_the_match_counts_on(day)


def assert_the_store_is_what_the_match_counts_on(day: BucketDay) -> None:
    """Besides seconds and what is still to come; and nothing is posted in the store that is not shown there."""
    farm, today = day.desk.store.farm(), day.desk.today()
    seconds = {record.key for record in farm.records if last_grade(record, farm.records) is Grade.B}
    to_come = {known.key for known in farm.known_stems if known.cut_date is not None and known.cut_date > today}
    shown = {(one.pile, str(one.product)): one.stems for one in cool_store(day.desk)}
    plan = day.desk.plan()
    counted_on = {pile: stems for pile, stems in known_cut(plan).items() if pile[0] not in to_come}
    lots = [lot.key for block in plan.growth.known.values() for lot in block.lots]
    assert len(lots) == len(set(lots))

    assert {pile: stems for pile, stems in shown.items() if pile[0] not in seconds} == counted_on
    records = {record.key for record in farm.records}
    for pile, stems in day.desk.store.stem_balances().items():
        if pile.account is Account.STORE and pile.source not in to_come:
            there = shown[pile.source, str(pile.product)]
            assert stems == there if pile.source in records else stems <= there


def last_grade(first: Record, records: Sequence[Record]) -> Grade | None:
    """The grade that was last said of the stems of a record, in it or in a correction."""
    grades = [said.grade for said in said_of(first, records) if said.grade is not None]
    return grades[-1] if grades else None
