"""The walk, the cut list, cuts and the cool store: what is counted, what is to be cut, and where the stems are."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm.words import Grade, RecordKind
from haulm.jobs.bucket_day.cut_list import cut_list
from haulm.jobs.bucket_day.draft_bucket_list import draft_bucket_list
from haulm.jobs.desk.desk import Desk
from haulm.jobs.field.cool_store import cool_store
from haulm.jobs.field.record_walk import Said, Sighting, Walked, record_walk
from haulm.jobs.field.walk_field import walk_field
from haulm.store.errors import StemsNotThere
from haulm.store.words import Account
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, NOW, on
from support.ledger_laws import broken_laws

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def day(open_desk: OpenDesk) -> BucketDay:
    """Monday 14 June at the farm of two beds."""
    return BucketDay(open_desk(bucket_farm()))


def filled(desk: Desk, monday: date = MONDAY) -> list[int]:
    """Stems for anna, bram and cora on the draft."""
    return [bucket.filled for bucket in draft_bucket_list(desk, monday).lines]


def test_the_walk_goes_by_bed_and_shows_the_last_count(day: BucketDay) -> None:
    (kind,) = walk_field(day.desk).kinds
    assert (kind.beds, kind.last) == (("North bed", "South bed"), None)

    day.walk(lagurus=70)
    day.walk(lagurus=80)

    (kind,) = walk_field(day.desk).kinds
    assert (kind.last, kind.last_on) == (80, MONDAY)


def test_a_count_on_the_walk_is_what_the_list_can_send(day: BucketDay) -> None:
    day.walk(lagurus=80)
    assert filled(day.desk) == [60, 20, 0]

    day.walk(lagurus=120)
    assert filled(day.desk) == [60, 40, 20]


def test_a_count_of_nothing_is_a_count(day: BucketDay) -> None:
    day.walk(lagurus=80)
    day.walk(lagurus=0)

    assert filled(day.desk) == [0, 0, 0]


def test_a_frost_is_one_record_of_the_whole_farm(day: BucketDay) -> None:
    day.walk(frost=True, lagurus=10)

    kinds = [(record.kind, record.batch, record.variety) for record in day.desk.store.farm().records]
    assert kinds == [(RecordKind.STANDING, None, "lagurus"), (RecordKind.FROST, None, None)]


def standing(variety: str, count: int) -> Sighting:
    return Sighting(Said.STANDING, variety=variety, count=count)


@pytest.mark.parametrize(
    "seen", [(), (standing("lagurus", 5), standing("lagurus", 6)), (standing("lagurus", 5), standing("tulip", 6))]
)
def test_a_walk_is_written_whole_or_not_at_all(day: BucketDay, seen: tuple[Sighting, ...]) -> None:
    with pytest.raises(HaulmError):
        day.see(*seen)

    assert day.desk.store.farm().records == ()


def test_the_cut_list_is_the_careful_match_in_the_order_of_walking(day: BucketDay) -> None:
    day.walk(lagurus=80)

    (row,) = cut_list(day.desk, MONDAY).rows
    for_whom = [(one.line.customer, one.stems) for one in row.for_whom if one.stems]
    assert (row.stems, for_whom) == (80, [("anna", 60), ("bram", 20)])
    assert row.beds == (("North bed", ("newer",)), ("South bed", ("older",)))


def test_what_an_earlier_release_packed_from_the_field_is_to_be_cut_until_it_is_cut(day: BucketDay) -> None:
    day.walk(lagurus=80)
    day.confirm_as_before({"anna-1": 60, "bram-1": 20, "cora-1": 0})
    assert [row.stems for row in cut_list(day.desk, MONDAY).rows] == [80]

    day.cut(80, left=0)
    assert cut_list(day.desk, MONDAY).rows == ()


def test_a_bed_inside_a_sprays_waiting_time_is_not_cut(open_desk: OpenDesk) -> None:
    sprays = "key,bed,date,wait_until\ns1,south,2027-06-12,2027-06-14"
    found = cut_list((day := BucketDay(open_desk(bucket_farm(sprays=sprays)))).desk, MONDAY)
    assert found.closed_beds == ("South bed",)

    day.walk(lagurus=80)
    rows = cut_list(day.desk, MONDAY).rows
    assert all(bed != "South bed" for row in rows for bed, _ in row.beds)


def test_a_cut_list_is_of_a_cut_day_that_has_not_passed(day: BucketDay) -> None:
    for wrong in (MONDAY + timedelta(days=1), MONDAY - timedelta(days=7)):
        with pytest.raises(NotAccepted, match="a mon or thu from 2027-06-14 on"):
            cut_list(day.desk, wrong)


def test_a_cut_goes_from_the_field_into_the_store_with_its_days(day: BucketDay) -> None:
    pile = day.cut(50, left=0)

    (stored,) = cool_store(day.desk)
    assert (stored.pile, stored.stems, stored.cut_on) == (pile, 50, MONDAY)
    # One day of drinking; lagurus keeps seven here.
    assert (stored.usable_from, stored.usable_until) == (date(2027, 6, 15), date(2027, 6, 21))
    assert (day.held(Account.FIELD), day.held(Account.CUT)) == (-50, 0)


def test_stems_past_their_days_are_marked_and_the_oldest_comes_first(day: BucketDay) -> None:
    first = day.cut(10, left=5)
    on(day.desk, date(2027, 6, 22))
    second = day.cut(5, left=0)

    assert [(stored.pile, stored.is_over) for stored in cool_store(day.desk)] == [(first, True), (second, False)]


def test_stems_in_the_store_go_out_before_any_are_cut(day: BucketDay) -> None:
    pile = day.cut(70, left=0)
    day.confirm()

    assert (day.held(Account.PACKED), day.held(Account.FIELD), day.held(Account.STORE)) == (70, -70, 0)
    assert {found.source for found in day.desk.store.stem_balances()} == {pile}


@pytest.mark.parametrize(("cut", "stored"), [(80, 0), (100, 20), (30, 0)])
def test_stems_that_a_list_has_packed_are_not_stored_again_when_their_cut_is_written_down(
    day: BucketDay, cut: int, stored: int
) -> None:
    day.walk(lagurus=80)
    day.confirm_as_before({"anna-1": 60, "bram-1": 20, "cora-1": 0})
    day.cut(cut, left=0, more=True)

    assert (day.held(Account.PACKED), day.held(Account.STORE)) == (80, stored)


@pytest.mark.parametrize("stems", [25, 40, 70])
def test_a_cut_that_was_written_down_wrong_is_put_right_in_the_store_too(day: BucketDay, stems: int) -> None:
    cut = day.cut(50, left=10, more=True)
    again = day.recount(day.recount(cut, 60), stems)

    assert (day.held(Account.FIELD), day.held(Account.STORE)) == (-stems, stems)
    assert [(one.pile, one.stems) for one in cool_store(day.desk)] == [(cut, stems)]
    assert broken_laws(day.desk.store) == []
    assert again in [record.key for record in day.desk.store.farm().records]


def test_a_cut_is_not_put_right_to_less_than_has_left_the_store(day: BucketDay) -> None:
    cut = day.cut(90, left=0, more=True)
    day.move(cut, Account.STALL, 60)

    with pytest.raises(NotAccepted, match="at least 60: they have left the store"):
        day.recount(cut, 59)
    day.recount(cut, 60)
    with pytest.raises(NotFound):
        day.recount(cut, 70)
    assert (day.held(Account.STORE), day.held(Account.STALL)) == (0, 60)


def test_of_stems_that_a_list_had_packed_only_the_rest_is_put_right(day: BucketDay) -> None:
    day.walk(lagurus=90)
    day.confirm_as_before({"anna-1": 60, "bram-1": 30, "cora-1": 0})
    cut = day.cut(100, left=0, more=True)
    again = day.recount(cut, 95)

    assert (day.held(Account.PACKED), day.held(Account.STORE)) == (90, 5)
    day.recount(again, 80)
    assert (day.held(Account.PACKED), day.held(Account.STORE)) == (90, 0)


def test_seconds_are_stored_and_fill_no_order(day: BucketDay) -> None:
    day.cut(70, left=0, grade=Grade.B)

    assert day.held(Account.STORE) == 70
    assert filled(day.desk) == [0, 0, 0]


def test_more_than_was_counted_today_is_cut_only_if_it_is_said_again(day: BucketDay) -> None:
    day.walk(lagurus=80)
    day.cut(50)

    with pytest.raises(NotAccepted) as refused:
        day.cut(31)
    assert str(refused.value) == (
        "cut: found 31 stems of lagurus besides 50 cut before; "
        "accepted is at most the 80 counted standing today, or beyond_count."
    )
    assert day.held(Account.STORE) == 50

    day.cut(30)
    day.cut(31, more=True)
    assert day.held(Account.STORE) == 111


def test_a_count_of_yesterday_bounds_no_cut(day: BucketDay) -> None:
    day.walk(lagurus=10)
    on(day.desk, MONDAY + timedelta(days=1))

    day.cut(40)
    assert day.held(Account.STORE) == 40


@pytest.mark.parametrize("to", [Account.STALL, Account.DRIED, Account.WASTE])
def test_what_leaves_the_store_is_on_no_list(day: BucketDay, to: Account) -> None:
    pile = day.cut(70, left=0)
    day.move(pile, to, 30)

    assert (day.held(Account.STORE), day.held(to)) == (40, 30)
    assert filled(day.desk) == [40, 0, 0]


def test_what_is_hung_is_dried_stock_once_it_is_dry(day: BucketDay) -> None:
    day.move(day.cut(70, left=0), Account.DRIED, 30)

    (hung,) = day.desk.store.farm().known_stems
    assert (str(hung.product), hung.stems) == ("lagurus:dried", 30)
    assert hung.ready_date > MONDAY


def test_no_more_leaves_the_store_than_is_there(day: BucketDay) -> None:
    pile = day.cut(20, left=0)

    with pytest.raises(StemsNotThere):
        day.move(pile, Account.WASTE, 21)
    for wrong in (Account.PACKED, Account.FIELD, Account.DELIVERED):
        with pytest.raises(NotAccepted):
            day.move(pile, wrong, 1)
    with pytest.raises(NotAccepted):
        day.move("nothing", Account.WASTE, 1)
    assert day.held(Account.STORE) == 20


def test_a_job_that_is_not_saved_leaves_nothing(day: BucketDay) -> None:
    before = day.desk.store.stem_balances(), day.desk.store.farm().records
    with day.desk.store.unit_of_work(actor="owner", now=NOW) as work:
        record_walk(day.desk, work, Walked((standing("lagurus", 5),)))

    assert (day.desk.store.stem_balances(), day.desk.store.farm().records) == before
