"""A record is put right by another that stands in its place, as often as it takes."""

from collections.abc import Callable

import pytest

from haulm.errors import NotFound
from haulm.evidence.seen import standing_records
from haulm.farm.records import Record
from haulm.farm.words import RecordKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.correct_record import correct_record, record_standing
from support.desks import done
from support.known_farm import known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


@pytest.fixture
def seen(open_desk: OpenDesk) -> Desk:
    """A desk of a farm on which a sowing was cut and counted."""
    return open_desk(
        known_farm(
            batches="key,variety,sow_date,plants,status\nfirst,lagurus,2027-03-01,40,planted",
            records="""
                key,date,kind,batch,count,note
                r1,2027-06-10,standing,first,30,by the gate
                r2,2027-06-10,cut,first,12,
                """,
        )
    )


def correct(desk: Desk, key: str, **values: object) -> Record:
    return done(desk, lambda work: correct_record(desk, work, key, values))


def test_another_day_is_told_by_a_record_of_the_same_kind_and_the_rest_stays(seen: Desk) -> None:
    made = correct(seen, "r1", date="2027-06-11")

    assert (made.kind, made.date.day, made.count, made.note) == (RecordKind.STANDING, 11, 30, "by the gate")
    assert [row.key for row in standing_records(seen.store.farm().records)] == ["r2", made.key]


def test_a_cut_counted_again_keeps_its_own_name(seen: Desk) -> None:
    made = correct(seen, "r2", count="10")

    assert made.kind is RecordKind.CORRECTED
    assert record_standing(seen.store.farm().records, made.key).count == 10
    assert {pile.source for pile in seen.store.stem_balances()} <= {"r2"}


def test_it_can_be_put_right_twice(seen: Desk) -> None:
    again = correct(seen, correct(seen, "r1", date="2027-06-11").key, count="25")

    stands = record_standing(seen.store.farm().records, again.key)
    assert (stands.date.day, stands.count) == (11, 25)
    with pytest.raises(NotFound):
        record_standing(seen.store.farm().records, "r1")
