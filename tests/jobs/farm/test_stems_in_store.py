"""What is in the cool store: what was cut less what is gone, and nothing that nobody has cut or that cannot leave."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.crop_library.library import crop_for
from haulm.errors import NotAccepted
from haulm.farm.products import Product
from haulm.farm.words import RecordKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.stems_in_store import (
    CutStems,
    bring_in,
    cut_variety,
    is_cut_stock,
    last_day,
    never_cut,
    put_back,
    standing_cut,
    standing_keys,
    stems_cut,
    stored_stems,
)
from haulm.store.journal import Pile
from haulm.store.words import Account
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, done
from support.farms import batch, farm, known_stems, record, variety

LAGURUS = Product("lagurus")


def cut(key: str, count: int, *, day: date = MONDAY, **changes: object) -> object:
    return record(key, kind=RecordKind.CUT, day=day.isoformat(), count=count, **changes)


FARM = farm(varieties=(variety(hold_days=4, stand_days=3),), batches=(batch(),), records=(cut("r1", 30),))
PILE = Pile("r1", LAGURUS, Account.STORE)


def with_records(*records: object, **more: object) -> object:
    return replace(FARM, records=records, **more)  # type: ignore[arg-type]


def test_a_cut_is_of_its_own_kind_or_its_batches() -> None:
    assert cut_variety(FARM, "b1", None) == "lagurus" == cut_variety(FARM, None, "lagurus")
    with pytest.raises(NotAccepted, match="batch: found 'b9'"):
        cut_variety(FARM, "b9", None)


def test_a_correction_counts_under_the_name_of_the_first_record() -> None:
    again = record("r2", kind=RecordKind.CORRECTED, day="2027-06-14", corrects="r1", count=25)

    assert stems_cut(FARM, {}) == {PILE: CutStems(30, 30)}
    corrected = with_records(cut("r1", 30), again)
    assert stems_cut(corrected, {}) == {PILE: CutStems(25, 25)}  # type: ignore[arg-type]
    assert standing_cut(corrected, "r1").count == 25  # type: ignore[arg-type]
    with pytest.raises(NotAccepted, match="pile: found 'r2'"):
        standing_cut(corrected, "r2")  # type: ignore[arg-type]


def test_what_was_hung_is_dried_and_what_stands_is_in_no_store() -> None:
    hung = with_records(record("h1", kind=RecordKind.HUNG, day="2027-06-14", count=9), known_stems=(known_stems(),))

    assert stems_cut(hung, {}) == {Pile("h1", Product.parse("lagurus:dried"), Account.STORE): CutStems(9, 9)}  # type: ignore[arg-type]
    assert standing_keys(hung) == {"k1"}  # type: ignore[arg-type]
    assert not is_cut_stock(known_stems()) and is_cut_stock(known_stems(product="lagurus:dried"))
    assert is_cut_stock(known_stems(cut_date=MONDAY))
    assert never_cut("k1", frozenset({"k1"})) and not never_cut("r1", frozenset({"k1"}))


def test_stock_lasts_as_long_as_it_keeps_or_as_is_said_and_dried_without_end() -> None:
    crop = crop_for(variety(hold_days=4))

    assert last_day(known_stems(cut_date=MONDAY), crop) == MONDAY + timedelta(days=4)
    said = known_stems(cut_date=MONDAY, usable_until=MONDAY + timedelta(days=2))
    assert last_day(said, crop) == MONDAY + timedelta(days=2)
    assert last_day(known_stems(product="lagurus:dried", cut_date=MONDAY), crop) is None


def test_stock_to_come_and_cuts_that_nobody_posted_and_that_are_too_old_are_not_there() -> None:
    assert stored_stems(FARM, {}, MONDAY) == {PILE: 30}
    assert stored_stems(FARM, {}, MONDAY + timedelta(days=4)) == {PILE: 30}
    assert stored_stems(FARM, {}, MONDAY + timedelta(days=5)) == {}
    assert stored_stems(FARM, {}, MONDAY - timedelta(days=1)) == {}


def test_what_was_brought_in_and_put_back_leaves_no_stem_behind(desk: Desk) -> None:
    pile = Pile("some", LAGURUS, Account.STORE)

    done(desk, lambda work: bring_in(work, pile, 12, entry=work.enter("in", "farm", {}), key="in"))
    assert desk.store.stem_balances()[pile] == 12
    done(desk, lambda work: put_back(work, pile, 12, entry=work.enter("out", "farm", {}), key="out"))
    assert not any(desk.store.stem_balances().values())


def test_the_store_holds_what_was_cut_until_a_list_takes_it(open_desk: Callable[[dict[str, bytes]], Desk]) -> None:
    day = BucketDay(open_desk(bucket_farm(asked=(60,))))

    def stored() -> dict[str, int]:
        store = day.desk.store
        return {pile.source: n for pile, n in stored_stems(store.farm(), store.stem_balances(), MONDAY).items()}

    day.walk(lagurus=100)
    assert stored() == {}
    key = day.cut(80, left=20)
    assert stored() == {key: 80}
    day.confirm()
    assert stored() == {key: 20}
