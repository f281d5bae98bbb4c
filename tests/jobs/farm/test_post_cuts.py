"""The book of stems follows what is written of cut stems: every stem once, and none back that has left the store."""

from collections.abc import Callable

import pytest

from haulm.errors import NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.farm.post_cuts import CUT_CORRECTED, STEMS_CUT
from haulm.store.journal import rebuilt_books
from haulm.store.words import Account
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, done
from support.known_farm import known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def day(open_desk: OpenDesk) -> BucketDay:
    """Lagurus stands; anna asks for 60 on Tuesday."""
    found = BucketDay(open_desk(bucket_farm(asked=(60,))))
    found.walk(lagurus=100)
    return found


def books(day: BucketDay) -> tuple[int, int, int]:
    """Stems in the store, packed, and taken from the field."""
    balances = day.desk.store.stem_balances()
    assert {pile: stems for pile, stems in rebuilt_books(day.desk.store.entries()).balances.items() if stems} == {
        pile: stems for pile, stems in balances.items() if stems
    }
    return day.held(Account.STORE), day.held(Account.PACKED), -day.held(Account.FIELD)


def test_a_cut_goes_into_the_store_with_its_product_and_number(day: BucketDay) -> None:
    key = day.cut(80, left=20)

    assert books(day) == (80, 0, 80)
    (entry,) = day.desk.store.entries_of(STEMS_CUT, about=f"records/{key}")
    assert entry.facts == {"stems": 80, "packed_before": 0, "product": "lagurus"}


def test_a_cut_of_fewer_or_more_after_all_moves_the_difference_only(day: BucketDay) -> None:
    key = day.cut(80, left=20)

    day.recount(key, 70)
    assert books(day) == (70, 0, 70)
    day.recount(day.desk.store.farm().records[-1].key, 90)
    assert books(day) == (90, 0, 90)
    said = [(entry.facts["was"], entry.facts["stems"]) for entry in day.desk.store.entries_of(CUT_CORRECTED)]
    assert said == [(80, 70), (70, 90)]


def test_a_cut_is_never_corrected_to_fewer_than_have_left_the_store(day: BucketDay) -> None:
    key = day.cut(80, left=20)
    day.confirm()
    assert books(day) == (20, 60, 80)

    with pytest.raises(NotAccepted, match="count: found 59; accepted is at least 60: they have left the store"):
        day.recount(key, 59)
    day.recount(key, 60)
    assert books(day) == (0, 60, 60)


def test_known_stems_are_never_counted_to_fewer_than_have_left_the_store(open_desk: OpenDesk) -> None:
    desk = open_desk(known_farm())
    day = BucketDay(desk)

    def counted(key: str, stems: int) -> None:
        done(desk, lambda work: change_row(desk, work, key, RowAsked("known_stems", {"stems": stems}), expected=None))

    day.move("k3", Account.WASTE, 10)
    with pytest.raises(NotAccepted, match="stems: found 9; accepted is at least 10: they have left the store"):
        counted("k3", 9)
    counted("k3", 10)
    counted("k1", 5)  # these stand in the field, where no book counts them
    assert books(day) == (0, 0, 10)
    assert desk.store.entries_of("known-stems-counted") == ()


def test_a_record_that_is_no_cut_posts_nothing(day: BucketDay) -> None:
    values = {"date": MONDAY.isoformat(), "kind": "not_yet", "batch": "older"}

    done(day.desk, lambda work: add_row(day.desk, work, RowAsked("records", values)))

    assert books(day) == (0, 0, 0)
    assert day.desk.store.entries_of(STEMS_CUT) == ()
