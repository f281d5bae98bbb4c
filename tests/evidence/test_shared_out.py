"""How field records are read: what each says of a batch, and how one about a variety is shared out."""

from __future__ import annotations

from datetime import date

from haulm.evidence.seen import Seen, seen
from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.words import BatchStatus, RecordKind
from haulm.planning.keeping import crops_of
from support.farms import farm, variety

EARLY = Batch("b1", "lagurus", date(2027, 3, 1), sown=20, plants=10, status=BatchStatus.CUTTING)
LATE = Batch("b2", "lagurus", date(2027, 3, 22), sown=60, plants=50, status=BatchStatus.CUTTING)
IN_TRAYS = Batch("b3", "lagurus", date(2027, 5, 1), sown=60, plants=50, status=BatchStatus.SOWN)
PLANNED = Batch("b4", "lagurus", date(2027, 8, 1), sown=60, plants=50)


def read(*records: Record, batches: tuple[Batch, ...] = (LATE, IN_TRAYS, EARLY, PLANNED)) -> Seen:
    found = farm(varieties=(variety(stems_per_plant=6.0),), batches=batches, records=records)
    return seen(found, crops_of(found))


def of_variety(kind: RecordKind, day: str, count: int | None = None, **more: object) -> Record:
    return Record("k1", date.fromisoformat(day), kind, variety="lagurus", count=count, **more)  # type: ignore[arg-type]


def test_a_cut_of_a_variety_is_shared_out_oldest_first_and_marked() -> None:
    found = read(of_variety(RecordKind.CUT, "2027-07-01", 100, left=30))
    counts = {key: (told.cut_so_far, told.left, told.is_shared_out) for key, told in found.evidence.items()}
    # The oldest batch holds 10 plants of 6 stems; the next takes what is over, and what was left.
    assert counts["b1"] == (60, 0, True)
    assert counts["b2"] == (40, 30, True)
    assert counts["b3"] == counts["b4"] == (0, None, False)
    assert found.shared_out == {"k1": ("b1", "b2")}
    assert [(stock.key, stock.stems) for stock in found.cut] == [("k1", 100)]


def test_a_cut_that_one_batch_can_give_is_of_that_batch_alone() -> None:
    found = read(of_variety(RecordKind.CUT, "2027-07-01", 40, left=30))
    assert (found.evidence["b1"].cut_so_far, found.evidence["b1"].left) == (40, 30)
    assert found.evidence["b2"].cut_so_far == 0
    assert found.shared_out == {"k1": ("b1",)}
    alone = read(of_variety(RecordKind.CUT, "2027-07-01", 40, left=30), batches=(EARLY, PLANNED))
    assert (alone.evidence["b1"].is_shared_out, alone.shared_out) == (False, {})


def test_not_yet_of_a_variety_is_of_every_batch_in_the_ground_that_has_not_begun() -> None:
    waiting = tuple(Batch(b.key, b.variety, b.sow_date, status=BatchStatus.PLANTED) for b in (EARLY, LATE))
    found = read(of_variety(RecordKind.NOT_YET, "2027-06-20"), batches=(*waiting, IN_TRAYS, PLANNED))
    assert [key for key, told in found.evidence.items() if told.not_yet] == ["b1", "b2", "b3"]


def test_plants_that_came_up_of_a_variety_are_of_those_in_trays() -> None:
    found = read(of_variety(RecordKind.GERMINATED, "2027-05-14", 41, final=True))
    assert {key: told.germinated_final for key, told in found.evidence.items()} == {
        "b1": None, "b2": None, "b3": 41, "b4": None,
    }  # fmt: skip


def test_a_loss_of_a_variety_is_of_every_batch_in_the_ground() -> None:
    found = read(of_variety(RecordKind.LOST, "2027-07-01"))
    assert [key for key, told in found.evidence.items() if told.lost_on] == ["b2", "b3", "b1"]


def test_a_count_of_standing_stems_says_what_is_there_and_that_it_has_begun() -> None:
    found = read(Record("k1", date(2027, 7, 3), RecordKind.STANDING, batch="b2", count=35))
    told = found.evidence["b2"]
    assert (told.ready_by, told.cut_until, told.left, told.cut_so_far) == (date(2027, 7, 3), date(2027, 7, 3), 35, 0)
    assert found.told_by == {"b2": ("k1",)}


def test_nothing_standing_before_the_first_cut_is_not_yet_and_after_it_nothing_is_left() -> None:
    none = Record("k2", date(2027, 7, 3), RecordKind.STANDING, batch="b2", count=0)
    cut = Record("k1", date(2027, 7, 1), RecordKind.CUT, batch="b2", count=9, left=4)
    waiting = Batch("b2", "lagurus", date(2027, 3, 22), status=BatchStatus.PLANTED)
    assert read(none, batches=(waiting,)).evidence["b2"].not_yet == date(2027, 7, 3)
    told = read(cut, none).evidence["b2"]
    assert (told.not_yet, told.left, told.cut_until) == (None, 0, date(2027, 7, 3))


def test_a_cut_of_no_stems_does_not_say_that_a_batch_has_begun() -> None:
    assert read(Record("k1", date(2027, 7, 1), RecordKind.CUT, batch="b2", count=0)).evidence["b2"].ready_by is None
