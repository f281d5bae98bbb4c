"""Records read as evidence, as cut stock, and as what has become of a batch."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.crop_library.library import crop_for
from haulm.evidence.seen import Seen, seen, standing_records
from haulm.farm.products import Product
from haulm.farm.records import KnownStems, Record
from haulm.farm.words import BatchStatus, Form, Grade, RecordKind
from haulm.forecast.inputs import Evidence
from haulm.planning.keeping import crops_of
from haulm.planning.plan import Plan
from support.farms import batch, farm, record, variety
from support.planned_farms import growing_farm, planned

K = RecordKind


def read(*records: Record, **collections: object) -> Seen:
    made = farm(records=records, **collections)
    return seen(made, crops_of(made))


def evidence(*records: Record) -> Evidence:
    return read(*records).evidence["b1"]


class TestEvidence:
    def test_no_record_is_no_evidence(self) -> None:
        assert evidence() == Evidence()

    def test_not_yet_is_remembered_by_its_latest_day(self) -> None:
        found = evidence(record("r2", day="2027-06-08"), record("r1", day="2027-06-01"))
        assert found.not_yet == date(2027, 6, 8)

    def test_counts_of_seedlings_only_rise_until_one_is_final(self) -> None:
        counts = [
            record("r1", kind=K.GERMINATED, count=40),
            record("r2", kind=K.GERMINATED, day="2027-06-02", count=30),
        ]
        assert evidence(*counts).germinated_so_far == 40
        final = record("r3", kind=K.GERMINATED, day="2027-06-03", count=35, final=True)
        assert evidence(*counts, final).germinated_final == 35

    def test_the_first_cut_is_the_first_that_was_noted(self) -> None:
        cuts = [record("r1", kind=K.FIRST_CUT, day="2027-06-03"), record("r2", kind=K.FIRST_CUT, day="2027-06-09")]
        assert evidence(*reversed(cuts)).first_cut == date(2027, 6, 3)

    def test_cuts_add_up_and_the_last_says_what_was_left(self) -> None:
        found = evidence(
            record("r1", kind=K.CUT, day="2027-06-03", count=20, left=5),
            record("r2", kind=K.CUT, day="2027-06-07", count=30),
        )
        assert (found.cut_so_far, found.cut_until, found.left) == (50, date(2027, 6, 7), None)

    def test_a_batch_that_is_sown_planted_or_lost_is_known_as_such(self) -> None:
        found = read(
            record("r1", kind=K.SOWN, day="2027-03-20", count=140),
            record("r2", kind=K.PLANTED, day="2027-05-01", count=90),
        )
        (grown,) = found.batches
        assert (grown.sow_date, grown.sown, grown.status) == (date(2027, 3, 20), 140, BatchStatus.PLANTED)
        assert found.evidence["b1"].plants_alive == 90
        assert evidence(record(kind=K.LOST)).lost_on == date(2027, 6, 1)
        assert evidence(record(kind=K.FINISHED)).finished_on == date(2027, 6, 1)

    def test_a_frost_is_the_whole_farms(self) -> None:
        found = read(record(kind=K.FROST, batch=None))
        assert found.frosts == (date(2027, 6, 1),) and found.evidence["b1"] == Evidence()

    def test_cut_stems_become_stock_of_their_day(self) -> None:
        (stock,) = read(record(kind=K.CUT, count=30, length_cm=40)).cut
        assert stock == KnownStems("r1", Product("lagurus"), date(2027, 6, 1), 30, date(2027, 6, 1), 40)

    def test_hung_stems_become_dried_stock_once_dry(self) -> None:
        (stock,) = read(record(kind=K.HUNG, count=30)).cut
        days = crop_for(variety()).dry_days
        assert stock.product == Product("lagurus", Form.DRIED)
        assert stock.ready_date == date(2027, 6, 1) + timedelta(days=days) and stock.cut_date is None

    @pytest.mark.parametrize("waste", [{"grade": Grade.B}, {"count": 0}])
    def test_seconds_and_empty_cuts_are_no_stock(self, waste: dict[str, object]) -> None:
        assert read(record(kind=K.CUT, **{"count": 30, **waste})).cut == ()


class TestCorrections:
    FIRST = record("r1", kind=K.CUT, count=300)

    def test_a_corrected_record_counts_with_its_new_number(self) -> None:
        right = record("r2", kind=K.CORRECTED, count=30, corrects="r1")
        found = read(self.FIRST, right)
        assert found.evidence["b1"].cut_so_far == 30
        assert [stock.stems for stock in found.cut] == [30]

    def test_a_correction_without_a_number_withdraws_what_it_corrects(self) -> None:
        found = read(self.FIRST, record("r2", kind=K.CORRECTED, corrects="r1"))
        assert found.evidence["b1"].cut_so_far == 0 and found.cut == ()

    def test_the_last_correction_of_a_chain_stands(self) -> None:
        chain = (
            self.FIRST,
            record("r2", kind=K.CORRECTED, count=30, corrects="r1"),
            record("r3", kind=K.CORRECTED, count=33, corrects="r2"),
        )
        (standing,) = standing_records(chain)
        assert (standing.key, standing.kind, standing.count) == ("r3", K.CUT, 33)

    def test_a_correction_keeps_the_grade_the_length_and_what_was_left_unless_it_says_others(self) -> None:
        first = record("r1", kind=K.CUT, count=300, grade=Grade.B, length_cm=40, left=20)
        chain = (
            first,
            record("r2", kind=K.CORRECTED, count=30, corrects="r1", length_cm=50),
            record("r3", kind=K.CORRECTED, count=33, corrects="r2", left=0),
        )
        (standing,) = standing_records(chain)
        assert (standing.grade, standing.length_cm, standing.left) == (Grade.B, 50, 0)
        assert read(*chain).cut == ()

    def test_of_two_corrections_of_one_record_the_last_one_stands(self) -> None:
        twice = (
            self.FIRST,
            record("r2", kind=K.CORRECTED, count=30, corrects="r1", left=5),
            record("r3", kind=K.CORRECTED, count=33, corrects="r1"),
        )
        (standing,) = standing_records(twice)
        assert (standing.key, standing.count, standing.left) == ("r3", 33, 5)
        assert [(stock.key, stock.stems) for stock in read(*twice).cut] == [("r1", 33)]

    def test_a_record_of_another_kind_stands_instead_of_what_it_corrects(self) -> None:
        (standing,) = standing_records((self.FIRST, record("r2", kind=K.NOT_YET, corrects="r1")))
        assert standing.key == "r2"

    def test_a_walk_after_a_cut_that_is_counted_again_is_still_after_it(self) -> None:
        walk = record("r2", kind=K.STANDING, count=50)
        found = read(replace(self.FIRST, left=20), walk, record("r3", kind=K.CORRECTED, count=30, corrects="r1"))
        assert found.evidence["b1"].left == 50

    def test_records_that_correct_each_other_are_none(self) -> None:
        ring = (record("r1", kind=K.CORRECTED, corrects="r2"), record("r2", kind=K.CORRECTED, corrects="r1"))
        assert standing_records(ring) == ()


class TestWhatItDoesToThePlan:
    DAY = date(2027, 7, 1)

    def test_a_batch_said_not_to_be_ready_yet_makes_the_first_weeks_less_sure(self) -> None:
        said = record(kind=K.NOT_YET, day="2027-07-01")
        sown = (batch("b1", status=BatchStatus.PLANTED, bed="north"),)
        plain, told = (planned(growing_farm(batches=sown, records=of), self.DAY) for of in ((), (said,)))
        assert first_weeks(told) < first_weeks(plain)

    def test_a_lost_batch_gives_nothing(self) -> None:
        sown = (batch("b1", status=BatchStatus.PLANTED, bed="north"),)
        lost = planned(growing_farm(batches=sown, records=(record(kind=K.LOST, day="2027-06-20"),)), self.DAY)
        assert first_weeks(lost) == 0

    def test_a_cut_that_was_recorded_is_there_to_be_given_in_every_season(self) -> None:
        cut = record(kind=K.CUT, day="2027-07-05", count=40)
        day = date(2027, 7, 5)
        plans = [
            planned(growing_farm(batches=(batch("b1", plants=10, status=BatchStatus.PLANTED),), records=of), day)
            for of in ((), (cut,))
        ]
        assert [plan.outlook_of(plan.result.lines[1]).confidence == 1.0 for plan in plans] == [False, True]
        assert [plan.result.lines[1].due for plan in plans] == [date(2027, 7, 8)] * 2


def first_weeks(plan: Plan) -> float:
    return sum(o.confidence for o in plan.outlooks if o.line.due < date(2027, 7, 20))
