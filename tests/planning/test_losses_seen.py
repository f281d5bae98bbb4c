"""What is read of losses, of stems that went over, and of numbers of a kind beside those of its beds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.evidence.seen import Seen, seen
from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.words import BatchStatus, LossReason, RecordKind
from haulm.forecast.inputs import Evidence
from haulm.planning.keeping import crops_of
from support.farms import farm, variety

NORTH = Batch("north", "lagurus", date(2027, 3, 1), sown=140, plants=126, bed="b1", status=BatchStatus.CUTTING)
SOUTH = Batch("south", "lagurus", date(2027, 3, 8), sown=140, plants=126, bed="b2", status=BatchStatus.CUTTING)
WEST = Batch("west", "lagurus", date(2027, 3, 15), sown=140, plants=126, bed="b3", status=BatchStatus.CUTTING)
BEDS = (NORTH, SOUTH, WEST)


def read(*records: Record, batches: tuple[Batch, ...] = BEDS) -> Seen:
    found = farm(varieties=(variety(stems_per_plant=6.0),), batches=batches, records=records)
    return seen(found, crops_of(found))


def told(kind: RecordKind, key: str, count: int | None = None, **more: Any) -> Record:
    about = {"variety": "lagurus"} if "batch" not in more else {}
    return Record(key, date(2027, 6, more.pop("on", 14)), kind, count=count, **about, **more)


def at(hour: int) -> str:
    return f"2027-06-14T{hour:02d}:00:00.000Z"


def standing(found: Seen) -> dict[str, int | None]:
    return {key: known.left for key, known in found.evidence.items()}


def test_losing_some_plants_leaves_the_rest() -> None:
    (known, *_) = read(told(RecordKind.LOST, "r1", 30, batch="north")).evidence.values()

    assert known.lost_on is None
    assert [(loss.plants, loss.share) for loss in known.losses] == [(30, 0.0)]


@pytest.mark.parametrize("losses", [[(30, None), (96, None)], [(None, 50), (63, None)], [(None, 100)], [(None, None)]])
def test_losing_all_of_them_by_any_count_is_losing_the_sowing(losses: list[tuple[int | None, int | None]]) -> None:
    records = [
        told(RecordKind.LOST, f"r{day}", count, share_pct=share, batch="north", on=day)
        for day, (count, share) in enumerate(losses, 10)
    ]

    assert read(*records).evidence["north"].lost_on == records[-1].date


def test_plants_lost_of_a_kind_are_counted_once_over_its_beds() -> None:
    found = read(told(RecordKind.LOST, "r1", 150))

    lost = {key: sum(loss.plants or 0 for loss in known.losses) for key, known in found.evidence.items()}
    assert lost == {"north": 126, "south": 24, "west": 0}
    assert found.evidence["north"].lost_on == date(2027, 6, 14)


def test_a_count_of_plants_after_a_loss_is_what_stays() -> None:
    found = read(
        told(RecordKind.LOST, "r1", 30, batch="north", on=10), told(RecordKind.PLANTED, "r2", 90, batch="north", on=12)
    )

    assert (found.evidence["north"].plants_alive, found.evidence["north"].losses) == (90, ())


def test_what_went_over_is_gone_though_more_may_come() -> None:
    counted = told(RecordKind.STANDING, "r1", 60, batch="north", on=10)
    over = told(RecordKind.WASTE, "r2", batch="north", reason=LossReason.GONE_OVER)
    known = read(counted, over).evidence["north"]
    assert (known.left, known.gone_until, known.lost_on) == (0, over.date, None)
    assert read(over).evidence["north"].ready_by == over.date

    some = read(counted, replace(over, count=20)).evidence["north"]
    assert (some.left, some.gone_until) == (40, None)


def test_frost_on_what_had_not_begun_is_no_sign_that_it_had() -> None:
    known = read(told(RecordKind.WASTE, "r1", batch="north", reason=LossReason.FROST)).evidence["north"]

    assert (known.ready_by, known.gone_until) == (None, date(2027, 6, 14))


def test_waste_without_a_reason_says_nothing_of_the_field() -> None:
    assert read(told(RecordKind.WASTE, "r1", 20, batch="north")).evidence["north"] == Evidence()


def test_a_number_for_a_kind_is_all_its_beds_whatever_they_had_before() -> None:
    earlier = [told(RecordKind.STANDING, f"e{bed.key}", 60, batch=bed.key, on=10) for bed in BEDS]

    assert standing(read(*earlier, told(RecordKind.STANDING, "r1", 50))) == {"north": 50, "south": 0, "west": 0}


@pytest.mark.parametrize("key", ["a", "z"])
def test_beds_counted_in_the_same_walk_keep_their_number_and_the_others_share_the_rest(key: str) -> None:
    kind = told(RecordKind.STANDING, key, 200, typed_at=at(8))
    bed = told(RecordKind.STANDING, "m", 40, batch="south", typed_at=at(8))

    found = standing(read(kind, bed))
    assert found["south"] == 40
    assert sum(left or 0 for left in found.values()) == 200


def test_a_bed_counted_later_keeps_its_number_and_one_counted_before_is_part_of_the_kinds() -> None:
    kind = told(RecordKind.STANDING, "k", 100, typed_at=at(9))
    late = told(RecordKind.STANDING, "l", 70, batch="south", typed_at=at(10))
    early = told(RecordKind.STANDING, "e", 500, batch="north", typed_at=at(7))

    assert standing(read(kind, late, early)) == {"north": 30, "south": 70, "west": 0}


def test_a_bed_counted_again_after_a_cut_takes_nothing_from_the_kinds_number() -> None:
    kind = told(RecordKind.STANDING, "k", 100, typed_at=at(9))
    cut = told(RecordKind.CUT, "c", 30, batch="north", left=70, typed_at=at(10))
    late = told(RecordKind.STANDING, "l", 65, batch="north", typed_at=at(11))

    assert standing(read(kind, cut, late)) == {"north": 65, "south": 0, "west": 0}


def test_of_two_counts_of_one_bed_the_one_typed_later_wins_and_both_are_kept() -> None:
    late = told(RecordKind.STANDING, "a", 70, batch="south", typed_at=at(10))
    early = told(RecordKind.STANDING, "b", 40, batch="south", typed_at=at(9))
    found = read(late, early)

    assert found.evidence["south"].left == 70
    assert found.told_by["south"] == ("b", "a")


_ANY = st.lists(
    st.builds(
        lambda kind, count, batch, hour: (kind, count, batch, hour),
        st.sampled_from((RecordKind.STANDING, RecordKind.CUT, RecordKind.LOST, RecordKind.WASTE, RecordKind.NOT_YET)),
        st.integers(0, 90),
        st.sampled_from(("north", "south", None)),
        st.integers(0, 5),
    ),
    max_size=6,
)


@given(_ANY, st.randoms(use_true_random=False))
def test_the_order_in_which_records_come_never_matters(said: list[Any], chance: Any) -> None:
    records = [
        told(kind, f"k{place}", count, typed_at=at(hour), **({} if batch is None else {"batch": batch}),
             **({"reason": LossReason.GONE_OVER} if kind is RecordKind.WASTE else {}))
        for place, (kind, count, batch, hour) in enumerate(said)
    ]  # fmt: skip
    shuffled = list(records)
    chance.shuffle(shuffled)

    one, other = read(*records), read(*shuffled)
    assert (one.evidence, one.cut, one.told_by) == (other.evidence, other.cut, other.told_by)
