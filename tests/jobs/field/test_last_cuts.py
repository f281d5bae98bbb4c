"""The last cut before stems leave: the latest cut day that still keeps them, and whether a record says it was made."""

from dataclasses import replace
from datetime import date

import pytest

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.records import Record
from haulm.farm.words import RecordKind
from haulm.jobs.field.last_cuts import cuts_made, is_recorded, last_cut_day
from haulm.planning.plan import Plan
from support.advice_builders import dated_line
from support.farms import record
from support.planned_farms import growing_farm, planned

MONDAY, THURSDAY, FRIDAY, SUNDAY = (date(2027, 6, day) for day in (14, 17, 18, 20))
LINE = dated_line(due=FRIDAY, product=Product("lagurus"))


def plan(*records: Record, today: date = FRIDAY) -> Plan:
    """The growing farm, which cuts on Mondays and Thursdays, with records of cuts."""
    return planned(growing_farm(records=records), today, seasons=4)


PLAN = plan()
DRINKS = PLAN.farm.site.condition_days


def cut(key: str, day: date, **changes: object) -> Record:
    return record(key, kind=RecordKind.CUT, day=day.isoformat(), count=5, **changes)


@pytest.mark.parametrize(
    ("due", "most_days", "last"),
    [(FRIDAY, None, THURSDAY), (THURSDAY, None, MONDAY), (SUNDAY, None, THURSDAY), (SUNDAY, 2, None)],
)
def test_it_is_the_latest_cut_day_that_leaves_time_to_drink_and_keeps(
    due: date, most_days: int | None, last: date | None
) -> None:
    assert DRINKS == 1
    assert last_cut_day(PLAN, replace(LINE, due=due, max_age_days=most_days)) == last


def test_nothing_is_cut_for_dried_stems() -> None:
    assert last_cut_day(PLAN, replace(LINE, product=Product.parse("lagurus:dried"))) is None


def test_cuts_count_by_kind_up_to_today_and_by_what_stands_of_the_records() -> None:
    wrong = record("r3", kind=RecordKind.CORRECTED, day=THURSDAY.isoformat(), corrects="r2", count=4)
    found = plan(cut("r1", MONDAY), cut("r2", THURSDAY), wrong, cut("r4", MONDAY, batch="c1"), cut("r5", SUNDAY))

    assert cuts_made(found) == {"lagurus": {MONDAY, THURSDAY}, "cosmos_white": {MONDAY}}


@pytest.mark.parametrize(
    ("day", "batch", "is_made"),
    [(THURSDAY, "b1", True), (MONDAY, "b1", False), (FRIDAY, "b1", False), (THURSDAY, "c1", False)],
)
def test_it_is_recorded_by_a_cut_of_what_is_asked_on_its_day_and_not_before_or_too_late_to_drink(
    day: date, batch: str, is_made: bool
) -> None:
    found = plan(cut("r1", day, batch=batch))

    assert is_recorded(found, LINE, THURSDAY, cuts_made(found)) is is_made


def test_a_choice_is_cut_for_by_any_kind_that_answers_it() -> None:
    found = plan(cut("r1", THURSDAY, batch="c1"))
    either: DatedLine = replace(LINE, substitutes=(Product("cosmos_white"),))

    assert not is_recorded(found, either, THURSDAY, cuts_made(found))
    dried = replace(either, product=Product.parse("lagurus:dried"))
    assert is_recorded(found, dried, THURSDAY, cuts_made(found))
