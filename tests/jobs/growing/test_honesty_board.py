"""The honesty board over a farm's own records: forecasts kept as made, promises as said, what came by the records."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from haulm.evidence.came import Came, came, weeks_rule_stems
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm.words import BatchStatus, Method, RecordKind
from haulm.forecast.scoring import Verdict
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.honesty_board import honesty_board
from haulm.jobs.growing.keep_forecast import KEPT, kept_this_week
from haulm.planning.keeping import crops_of
from haulm.store.journal import Promise
from haulm.store.words import PromiseState
from support.desks import MONDAY, NOW, desk_over, on, sqlite_store
from support.farms import batch, farm, record, variety
from support.known_farm import growing_farm

LAGURUS = Product.parse("lagurus")
SOWN = date(2027, 5, 24)
WEEK = Week.parse("2027-W30")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    store = sqlite_store(tmp_path)
    yield desk_over(store, growing_farm(), today=SOWN)
    store.close()


def grown(*records: Record) -> Farm:
    return farm(batches=(batch(sow="2027-04-20", status=BatchStatus.PLANTED),), records=records)


def cut(day: str, count: int, left: int | None = None, key: str = "c") -> Record:
    return record(f"{key}{day}", kind=RecordKind.CUT, day=day, count=count, left=left)


class TestWhatCame:
    """Week 30 is 26 July to 1 August 2027."""

    def test_nothing_recorded_is_no_evidence(self) -> None:
        assert came(grown(), LAGURUS, WEEK) == Came(0, at_least=True)

    def test_cut_alone_is_a_lower_bound(self) -> None:
        assert came(grown(cut("2027-07-28", 40)), LAGURUS, WEEK) == Came(40, at_least=True)

    def test_cut_and_left_at_the_first_cut_is_all_that_came(self) -> None:
        assert came(grown(cut("2027-07-28", 40, 15)), LAGURUS, WEEK) == Came(55, at_least=False)

    def test_what_was_left_before_did_not_come_this_week(self) -> None:
        found = came(grown(cut("2027-07-20", 10, 12), cut("2027-07-28", 40, 15)), LAGURUS, WEEK)

        assert found == Came(43, at_least=False)

    def test_not_yet_on_a_later_day_means_none_came(self) -> None:
        later = record("n", kind=RecordKind.NOT_YET, day="2027-08-04")

        assert came(grown(later), LAGURUS, WEEK) == Came(0, at_least=False)

    def test_a_finished_batch_gives_nothing_any_more(self) -> None:
        over = record("f", kind=RecordKind.FINISHED, day="2027-07-20")

        assert came(grown(cut("2027-07-19", 10, 0), over), LAGURUS, WEEK) == Came(0, at_least=False)


def test_the_weeks_rule_puts_all_stems_after_the_stated_weeks() -> None:
    """100 plants of 10 stems sown 3 May at 12 weeks: 807.5 fit for sale (0.8075 of 1000), none before 26 July."""
    simple = variety(weeks_to_flower=12.0, stems_per_plant=10.0, harvest_weeks=2.0)
    one: Batch = batch(sow="2027-05-03", method=Method.DIRECT)
    made = farm(varieties=(simple,), batches=(one,))
    found = weeks_rule_stems(made, crops_of(made), LAGURUS, Week.parse("2027-W28"), 10)

    assert found[:2] == [0, 0] and found[2] > 0
    assert sum(found) == pytest.approx(807.5, abs=3)


class TestKeepingForecasts:
    def test_a_week_s_forecast_is_kept_once(self, desk: Desk) -> None:
        assert kept_this_week(desk, actor="test") is True
        on(desk, SOWN + timedelta(days=2))
        assert kept_this_week(desk, actor="test") is False
        on(desk, SOWN + timedelta(days=7))
        assert kept_this_week(desk, actor="test") is True
        assert sum(entry.kind == KEPT for entry in desk.store.entries()) == 2

    def test_what_is_kept_rises_with_its_levels_and_names_product_and_week(self, desk: Desk) -> None:
        kept_this_week(desk, actor="test")
        facts = next(entry.facts for entry in desk.store.entries() if entry.kind == KEPT)

        assert {row["product"] for row in facts["rows"]} == {"lagurus"}
        assert all(row["stems"] == sorted(row["stems"]) for row in facts["rows"])
        assert all(row["week"] > facts["week"] for row in facts["rows"])

    def test_a_kept_forecast_is_scored_when_its_week_is_over(self, desk: Desk) -> None:
        kept_this_week(desk, actor="test")
        facts = next(entry.facts for entry in desk.store.entries() if entry.kind == KEPT)
        row = max(facts["rows"], key=lambda row: row["stems"][3])
        day = Week.parse(row["week"]).monday + timedelta(days=2)
        on(desk, day + timedelta(days=7))
        before = honesty_board(desk)
        with desk.store.unit_of_work(actor="test", now=NOW) as work:
            work.put(replace(cut(day.isoformat(), row["stems"][3], 0), batch="first"))
            work.save()
        after = honesty_board(desk)

        assert before.weeks_known == 0 and before.within_80.open_cases > 0
        assert after.weeks_known == 1 and after.within_80.held == 1
        assert sum(after.ranks) == pytest.approx(1)


class TestPromises:
    def promise(self, desk: Desk, due: date, asked: int, sent: int | None, *, level: float = 0.8) -> None:
        with desk.store.unit_of_work(actor="test", now=NOW) as work:
            seq = work.enter("promised", "orders/test")
            line = f"line {due}"
            work.promise(Promise(line, due, "test", PromiseState.CONTRACTED, asked, level), entry=seq)
            if sent is not None:
                work.promise(Promise(line, due, "test", PromiseState.DELIVERED, sent), entry=seq)
            work.save()

    def test_of_the_things_said_those_that_came_true_are_counted(self, desk: Desk) -> None:
        for day in range(20):
            self.promise(desk, date(2027, 5, 3) + timedelta(days=day), 10, 10 if day < 17 else 9)
        on(desk, MONDAY)
        (found,) = honesty_board(desk).promises

        assert (found.level, found.judged.held, found.judged.decided) == (0.8, 17, 20)
        assert found.verdict is Verdict.TOO_EARLY

    def test_a_promise_not_yet_due_or_not_delivered_is_not_judged(self, desk: Desk) -> None:
        self.promise(desk, MONDAY + timedelta(days=3), 10, 10)
        self.promise(desk, date(2027, 5, 3), 10, None)

        on(desk, MONDAY)

        assert honesty_board(desk).promises == ()
