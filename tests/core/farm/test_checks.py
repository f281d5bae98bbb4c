"""What may not be written down: rows alone, rows against each other, and what is only warned of."""

import datetime as dt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.farm.batches import Batch
from haulm.farm.beds import Bed, Spray
from haulm.farm.checks import cutting_weekdays, farm_faults, farm_warnings, faults_with
from haulm.farm.cross_checks import COLLECTIONS, cross_faults
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import Change
from haulm.farm.products import Choice, Product
from haulm.farm.records import DayTemperature, Record
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import LengthShare, Stage
from haulm.farm.weeks import Week
from haulm.farm.words import OrderStatus, RecordKind, StandingStatus, Weekday
from support import scale
from support.farm_strategies import farms
from support.farms import (
    batch,
    customer,
    farm,
    known_stems,
    order,
    order_line,
    record,
    site,
    standing_line,
    standing_order,
    variety,
)

DRIED = Product.parse("lagurus:dried")
STAGED = variety(stages=(Stage("young", "cream", 0, 4), Stage("mature", "tan", 5, 12)))


def sold(**changes: Any) -> Farm:
    """A farm with a standing order and a wedding, each with one line."""
    usual = {
        "standing_orders": (standing_order(),),
        "standing_lines": (standing_line(),),
        "orders": (order(),),
        "order_lines": (order_line(),),
    }
    return farm(**{**usual, **changes})


def places(found: Farm) -> list[tuple[str, int | None, str | None]]:
    """Where a farm is at fault."""
    return [(fault.place, fault.row, fault.column) for fault in farm_faults(found)]


def test_a_sound_farm_has_no_faults() -> None:
    assert farm_faults(sold()) == ()


@pytest.mark.parametrize(
    ("changes", "column"),
    [
        ({"product": None}, "product"),
        ({"choice": Choice(colours=("white",))}, "choice"),
        ({"product": None, "choice": Choice(colours=("wh\x01ite",))}, "choice"),
        ({"stems": 0}, "stems"),
        ({"stems": 20, "minimum": 21}, "minimum"),
        ({"max_each": 5}, "max_each"),
        ({"promised_confidence": 0.0}, "promised_confidence"),
        ({"promised_confidence": 1.0}, "promised_confidence"),
        ({"promised_confidence": float("nan")}, "promised_confidence"),
        ({"substitutes": (DRIED, DRIED)}, "substitutes"),
        ({"substitutes": (Product("lagurus"),)}, "substitutes"),
        ({"substitutes": (Product("fern"),)}, "substitutes"),
        ({"product": "fern"}, "product"),
        ({"order": "another"}, "order"),
        ({"stage": "old"}, "stage"),
        ({"key": "two words"}, "key"),
    ],
)
def test_a_line_is_refused_whether_it_stands_or_is_dated(changes: dict[str, Any], column: str) -> None:
    dated = sold(varieties=(STAGED,), order_lines=(order_line(**changes),))
    standing = sold(varieties=(STAGED,), standing_lines=(standing_line(**changes),))

    assert places(dated) == [("order_lines", 0, column)]
    assert places(standing) == [("standing_lines", 0, column)]


def test_a_line_may_ask_the_dried_form_instead_and_a_stage_its_variety_has() -> None:
    assert places(sold(varieties=(STAGED,), order_lines=(order_line(substitutes=(DRIED,), stage="mature"),))) == []


def test_a_stage_is_not_judged_where_the_variety_lists_none() -> None:
    assert places(sold(order_lines=(order_line(stage="young"),))) == []


def test_a_key_is_used_once_and_lines_of_both_kinds_share_their_keys() -> None:
    found = sold(
        customers=(customer("anna"), customer("bram"), customer("anna")),
        order_lines=(order_line("a"), order_line("weekly-1")),
    )

    assert places(found) == [("customers", 2, "key"), ("order_lines", 1, "key")]


@pytest.mark.parametrize(
    ("changes", "column"),
    [
        ({"status": OrderStatus.ON_HOLD}, "hold_until"),
        ({"event_date": dt.date(2027, 6, 23)}, "event_date"),
        ({"final_numbers_date": dt.date(2027, 6, 25)}, "final_numbers_date"),
        ({"committed_on": dt.date(2027, 6, 25)}, "committed_on"),
        ({"unacceptable": ("lagurus", "lagurus")}, "unacceptable"),
        ({"unacceptable": ("fern",)}, "unacceptable"),
        ({"customer": "clara"}, "customer"),
        ({"event_date": dt.date(3000, 1, 1)}, "event_date"),
    ],
)
def test_a_dated_order_is_refused(changes: dict[str, Any], column: str) -> None:
    assert places(sold(orders=(order(**changes),))) == [("orders", 0, column)]


def test_a_week_of_a_change_lies_in_its_order_and_its_line_belongs_to_it() -> None:
    orders = (standing_order(first="2027-W20", last="2027-W21"), standing_order("monthly"))
    lines = (standing_line(), standing_line("monthly-1", order="monthly"))
    changes = (
        Change("c1", "weekly", Week(2027, 20), 0, "weekly-1"),
        Change("c2", "weekly", Week(2027, 22), 0),
        Change("c3", "weekly", Week(2027, 21), -1),
        Change("c4", "weekly", Week(2027, 21), 5, "monthly-1"),
    )

    found = sold(standing_orders=orders, standing_lines=lines, changes=changes)

    assert sorted(places(found)) == [("changes", 1, "week"), ("changes", 2, "stems"), ("changes", 3, "line")]


@pytest.mark.parametrize(
    ("changes", "column"),
    [
        ({"variety": "lagurus"}, "variety"),
        ({"kind": RecordKind.FROST}, "batch"),
        ({"batch": None}, "batch"),
        ({"batch": "b9"}, "batch"),
        ({"kind": RecordKind.CORRECTED}, "corrects"),
        ({"corrects": "r9"}, "corrects"),
        ({"corrects": "r1"}, "corrects"),
        ({"kind": RecordKind.GERMINATED}, "count"),
        ({"kind": RecordKind.PLANTED}, "count"),
        ({"kind": RecordKind.STANDING}, "count"),
        ({"kind": RecordKind.CUT}, "count"),
        ({"kind": RecordKind.CUT, "count": 5, "day": "2027-03-14"}, "date"),
        ({"note": "a\x02b"}, "note"),
    ],
)
def test_a_record_is_refused(changes: dict[str, Any], column: str) -> None:
    assert places(farm(records=(record(**changes),))) == [("records", 0, column)]


def test_no_more_come_up_than_were_sown_unless_more_were_sown_later() -> None:
    counted = record("r2", kind=RecordKind.GERMINATED, count=130)
    sown = farm(batches=(batch(sown=120),), records=(counted,))
    resown = (record("r1", kind=RecordKind.SOWN, count=120), record("r3", kind=RecordKind.RESOWN, count=40), counted)

    assert places(sown) == [("records", 0, "count")]
    assert places(farm(batches=(batch(sown=120),), records=resown)) == []
    assert places(farm(records=(counted,))) == []


def test_a_corrected_count_is_not_judged_again() -> None:
    wrong = record("r1", kind=RecordKind.GERMINATED, count=1300)
    right = record("r2", kind=RecordKind.GERMINATED, count=113, corrects="r1")

    assert places(farm(batches=(batch(sown=120),), records=(wrong, right))) == []


def test_the_day_it_was_really_sown_counts_not_the_day_planned() -> None:
    sown = record("r1", kind=RecordKind.SOWN, day="2027-03-01")
    up = record("r2", kind=RecordKind.GERMINATED, day="2027-03-10", count=50)

    assert places(farm(records=(sown, up))) == []


def test_dates_of_batches_stems_and_sprays_stand_in_order() -> None:
    found = farm(
        batches=(batch(plant_out_date=dt.date(2027, 3, 14)),),
        known_stems=(
            known_stems("k1", cut_date=dt.date(2027, 6, 20)),
            known_stems("k2", cut_date=dt.date(2027, 6, 25), usable_until=dt.date(2027, 6, 24)),
            known_stems("k3", usable_until=dt.date(2027, 6, 20)),
        ),
        sprays=(Spray("s", "north", dt.date(2027, 6, 2), dt.date(2027, 6, 1)),),
    )

    assert places(found) == [
        ("batches", 0, "plant_out_date"),
        ("known_stems", 0, "cut_date"),
        ("known_stems", 1, "usable_until"),
        ("known_stems", 2, "usable_until"),
        ("sprays", 0, "wait_until"),
    ]


def test_temperatures_rise_by_date_and_lie_between_minus_70_and_60() -> None:
    days = tuple(DayTemperature(dt.date(2027, 1, day), 1.0, 3.0) for day in (1, 3, 2))
    found = farm(temperatures=(*days, DayTemperature(dt.date(2027, 1, 4), 5.0, 61.0)))

    assert places(found) == [("temperatures", 3, "max_c"), ("temperatures", 2, "date")]


def test_a_batch_needs_a_variety_and_a_bed_that_the_farm_has() -> None:
    found = farm(batches=(batch(bed="south"), Batch("b2", "fern")))

    assert places(found) == [("batches", 0, "bed"), ("batches", 1, "variety")]


def test_numbers_of_a_variety_and_a_bed_keep_their_limits() -> None:
    found = farm(
        varieties=(variety(germination_pct=101.0, bunch_stems=0),),
        beds=(Bed("north", " ", metres=-1.0),),
    )

    assert sorted(places(found)) == [
        ("beds", 0, "metres"),
        ("beds", 0, "name"),
        ("varieties", 0, "bunch_stems"),
        ("varieties", 0, "germination_pct"),
    ]


def test_a_due_day_that_no_cut_day_serves_is_warned_of_with_the_days_that_would() -> None:
    thursday = standing_order()
    found = farm(site=site(cut_days=(Weekday.MON,)), standing_orders=(thursday,), standing_lines=(standing_line(),))

    assert farm_warnings(found, lambda key: 3) == ()
    assert farm_warnings(found, lambda key: 2) == (
        "Line weekly-1 is due on a thu, and no cut day serves that: lagurus keeps 2 days, 1 of them drinking. "
        "Cutting on tue or wed would.",
    )


def test_nobody_is_warned_of_a_paused_order_or_of_dried_stems() -> None:
    paused = standing_order(status=StandingStatus.PAUSED)
    found = sold(
        site=site(cut_days=(Weekday.FRI,)),
        standing_orders=(paused,),
        order_lines=(order_line(product="lagurus:dried"),),
    )

    assert farm_warnings(found, lambda key: 1) == ()


def test_a_line_longer_than_its_variety_grows_is_warned_of() -> None:
    short = variety(lengths=(LengthShare(30, 0.5), LengthShare(40, 0.5)))
    found = sold(varieties=(short,), order_lines=(order_line(min_length_cm=50),))

    assert farm_warnings(found, lambda key: 7) == ("Line wedding-1 asks 50 cm of lagurus; its longest class is 40 cm.",)


def test_cutting_weekdays_run_from_the_oldest_stem_that_keeps_to_the_youngest_that_drank() -> None:
    thursday = dt.date(2027, 6, 24)

    assert cutting_weekdays(thursday, hold_days=3, condition_days=1) == (Weekday.MON, Weekday.TUE, Weekday.WED)
    assert cutting_weekdays(thursday, hold_days=0, condition_days=1) == ()


def test_a_record_of_the_whole_farm_is_a_frost() -> None:
    assert places(farm(records=(Record("r1", dt.date(2027, 5, 1), RecordKind.FROST),))) == []


TOLD = sold(
    varieties=(STAGED,),
    standing_lines=(standing_line(stage="young"),),
    changes=(Change("ch1", "weekly", Week.parse("2027-W22"), 5),),
    batches=(batch("b1", sow="2027-03-15"),),
    records=(record("r1", batch="b1", kind=RecordKind.CUT, day="2027-07-01", count=20),),
    temperatures=(DayTemperature(dt.date(2026, 5, 2), 1.0, 9.0),),
)
LIMITS: dict[str, tuple[Row, tuple[str, str]]] = {
    "an order's weeks and its change": (standing_order(last="2027-W21"), ("changes", "week")),
    "a variety's stages and a line": (variety(stages=(Stage("open", "cream", 0, 4),)), ("standing_lines", "stage")),
    "a batch's sowing and its cut": (batch("b1", sow="2027-07-15"), ("records", "date")),
    "a standing line and a dated one": (order_line("weekly-1"), ("order_lines", "key")),
    "a dated line and a standing one": (standing_line("wedding-1"), ("order_lines", "key")),
    "an order and its customer": (order("other", customer="nobody"), ("orders", "customer")),
    "a day before the last": (DayTemperature(dt.date(2026, 5, 1), 1.0, 9.0), ("temperatures", "date")),
    "a correction of nothing": (record("r2", batch="b1", corrects="r9"), ("records", "corrects")),
    "a product of no variety": (order_line("wedding-2", product="nigella"), ("order_lines", "product")),
}


@pytest.mark.parametrize("name", LIMITS)
def test_a_row_is_compared_with_every_row_that_it_can_make_unsound(name: str) -> None:
    row, expected = LIMITS[name]
    assert farm_faults(TOLD) == ()

    found = faults_with(TOLD, [row])

    assert found == farm_faults(with_rows(TOLD, [row]))
    assert expected in [(fault.place, fault.column) for fault in found]


@settings(max_examples=scale.count(usual=20, large=2000))
@given(farms(), farms(), st.sets(st.sampled_from(sorted(set(COLLECTIONS) - {"temperatures"}))))
def test_rows_put_in_are_judged_as_the_whole_farm_would_be(before: Farm, others: Farm, names: set[str]) -> None:
    """Every row of the other farm is sound alone, so that what is found lies between rows."""
    rows: list[Row] = [row for name in sorted(names) for row in getattr(others, name)]

    assert faults_with(before, rows) == cross_faults(with_rows(before, rows))
