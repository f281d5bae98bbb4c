"""A record that cannot well be is asked about in words, and written when it is said again."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from haulm.farm.records import Record
from haulm.farm.words import RecordKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.doubtful_records import DoubtfulRecord, asks_forecast, future_records, require_sure
from haulm.jobs.growing.batch_forecast import first_stem_of
from support.desks import MONDAY
from support.farms import record
from support.summer_farm import summer_farm

LIKELY = record(kind=RecordKind.NOT_YET, day="2027-06-13", batch="l1")


@pytest.fixture
def desk(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """Three kinds in six sowings that flower from mid June on."""
    return open_desk(summer_farm())


def asked(desk: Desk, *rows: Record) -> tuple[str, ...]:
    """What is asked of records; nothing where they are written."""
    try:
        require_sure(desk, desk.store.farm(), rows)
    except DoubtfulRecord as doubtful:
        return doubtful.doubts
    return ()


def cut(count: int, day: date = MONDAY, batch: str = "l1") -> Record:
    return record(kind=RecordKind.CUT, day=day.isoformat(), batch=batch, count=count)


def test_a_likely_record_is_not_asked_about_and_its_yes_is_forgotten(desk: Desk) -> None:
    assert require_sure(desk, desk.store.farm(), (LIKELY, replace(LIKELY, really=True))) == (LIKELY, LIKELY)
    assert require_sure(desk, desk.store.farm(), ()) == ()


def test_a_day_to_come_and_a_day_before_it_was_sown_are_asked_about(desk: Desk) -> None:
    name = "Hare's-tail grass in South bed, not yet on"

    assert asked(desk, replace(LIKELY, date=MONDAY + timedelta(days=1))) == (
        f"{name} 15 June 2027: that day is still to come.",
    )
    assert asked(desk, replace(LIKELY, date=date(2027, 3, 9))) == (
        f"{name} 9 March 2027: it was sown on 10 March 2027.",
    )


def test_more_than_twice_what_plants_give_is_asked_about_with_what_was_cut_before(desk: Desk) -> None:
    usual = desk.plan().crops["lagurus"].stems_per_plant
    twice = int(2 * 10 * usual)

    assert asked(desk, cut(twice)) == ()
    (said,) = asked(desk, cut(twice + 1))
    assert said.endswith(f"{twice + 1:,} stems; 10 plants give about {10 * usual:,.0f}.")


def test_first_stems_weeks_before_or_after_any_season_are_asked_about(desk: Desk) -> None:
    first = first_stem_of(desk.plan(), "n2")
    assert first is not None
    early, late = first[0] - timedelta(weeks=3), first[2] + timedelta(weeks=3)

    assert asked(desk, cut(1, early, "n2")) == ()
    (said,) = asked(desk, cut(1, early - timedelta(days=1), "n2"))
    expected = f"its first stems are expected about {first[1].day} {first[1]:%B %Y}"
    assert said.endswith(f"{expected}, {(first[1] - early).days + 1} days later.")
    assert len(asked(desk, cut(1, late, "n2"))) == 1  # that day is to come
    _, said = asked(desk, cut(1, late + timedelta(days=1), "n2"))
    assert said.endswith(f"{expected}, {(late - first[1]).days + 1} days earlier.")


def test_every_doubt_is_told_at_once_each_once_and_all_are_written_when_said_again(desk: Desk) -> None:
    late = replace(LIKELY, date=MONDAY + timedelta(days=1))
    rows = (late, replace(late, key="r2"), cut(5000))

    assert len(asked(desk, *rows)) == 2
    again = tuple(replace(row, really=True) for row in rows)
    assert require_sure(desk, desk.store.farm(), again) == again


def test_records_of_days_to_come_are_named_until_they_are_said_again() -> None:
    late = record("r7", day="2027-06-20")

    assert future_records([late, replace(late, really=True), record()], MONDAY) == (
        "Record r7 is of 20 June 2027, which is still to come; it counts as if it had happened.",
    )


def test_only_first_stems_are_held_against_the_forecast(desk: Desk) -> None:
    farm = desk.store.farm()

    assert asks_forecast(farm, {"kind": "cut", "batch": "l1"})
    assert asks_forecast(farm, {"kind": "standing", "variety": "lagurus"})
    assert not asks_forecast(farm, {"kind": "not_yet", "batch": "l1"})
    assert not asks_forecast(farm, {"kind": "cut", "batch": "l1", "really": True})
    assert not asks_forecast(farm, {"kind": "cut", "batch": "nobodys"})
    begun = replace(farm, records=(cut(3),))
    assert not asks_forecast(begun, {"kind": "cut", "batch": "l1"})
