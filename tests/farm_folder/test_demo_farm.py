"""The demo farm: what its page promises of it, counted again from the folder, and that the folder is canonical."""

from collections import Counter
from datetime import date, timedelta
from functools import cache

from haulm.advice.room import Room
from haulm.crop_library.library import crop_for, library_crop_for
from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.farm.products import Product
from haulm.farm.weeks import cut_days_for
from haulm.farm.words import (
    BatchStatus,
    BedKind,
    Form,
    LineClass,
    Method,
    OrderKind,
    OrderStatus,
    RecordKind,
    StandingStatus,
)
from haulm.farm_folder.writer import folder_texts
from support.demo_farms import demo_farm
from support.project_tree import ROOT

FOLDER = ROOT / "service/haulm/demo_farm/folder"
TODAY = date(2027, 3, 15)


@cache
def demo_lines() -> tuple[DatedLine, ...]:
    return demand(demo_farm(), TODAY)


def products_for(line: DatedLine) -> list[Product]:
    if line.product is not None:
        return [line.product]
    assert line.choice is not None
    products = [Product(variety.key, form) for variety in demo_farm().varieties for form in Form]
    crops = {variety.key: crop_for(variety) for variety in demo_farm().varieties}
    return [
        product
        for product in products
        if line.choice.accepts(product, role=crops[product.variety].role, colour=crops[product.variety].colour, kind="")
    ]


def test_the_folder_is_canonical() -> None:
    files = {path.name: path.read_bytes() for path in FOLDER.iterdir()}

    assert folder_texts(demo_farm()) == files


def test_the_fixture_is_the_same_folder_by_a_relative_link() -> None:
    link = ROOT / "fixtures/demo"

    assert not link.readlink().is_absolute()
    assert link.resolve() == FOLDER


def test_every_variety_has_a_colour_and_a_kind_in_the_crop_library() -> None:
    varieties = demo_farm().varieties

    assert len(varieties) >= 22
    assert [variety.key for variety in varieties if variety.colour is None] == []
    assert [variety.key for variety in varieties if library_crop_for(variety) is None] == []


def test_it_has_the_batches_of_a_whole_season_in_every_way_of_starting_but_plugs() -> None:
    batches = demo_farm().batches

    assert len(batches) >= 60
    assert {batch.method for batch in batches} == set(Method) - {Method.PLUGS}
    assert any(batch.form is Form.DRIED for batch in batches)


def test_what_was_sown_lies_before_today_and_what_is_planned_after_it_but_for_one_forgotten_batch() -> None:
    sown = [(batch.key, batch.sow_date, batch.status is BatchStatus.PLANNED) for batch in demo_farm().batches]
    started_later = [key for key, day, is_planned in sown if day is not None and day > TODAY and not is_planned]
    planned_earlier = [key for key, day, is_planned in sown if day is not None and day < TODAY and is_planned]

    assert started_later == []
    assert planned_earlier == ["daucus_carota-1"]


def test_records_tell_of_the_season_so_far() -> None:
    kinds = Counter(record.kind for record in demo_farm().records)

    assert 30 <= len(demo_farm().records) <= 60
    assert {RecordKind.SOWN, RecordKind.GERMINATED, RecordKind.PLANTED, RecordKind.FROST, RecordKind.LOST} <= set(kinds)
    assert all(record.date <= TODAY for record in demo_farm().records)


def test_around_midsummer_most_of_the_beds_are_taken_and_there_are_beds_of_every_kind() -> None:
    farm = demo_farm()
    room = Room.of(farm.beds, farm.batches, {variety.key: crop_for(variety) for variety in farm.varieties})
    midsummer = date(2027, 7, 1)
    wanted = sum(stay.amount for stay in room.in_beds if stay.first <= midsummer <= stay.last)

    assert 0.5 < wanted / sum(bed.metres or 0 for bed in farm.beds) < 1
    assert {bed.kind for bed in farm.beds} == set(BedKind)


def test_demand_expands_to_the_promised_number_of_lines() -> None:
    classes = Counter(line.line_class for line in demo_lines())

    assert 900 <= len(demo_lines()) <= 1400
    assert set(classes) == set(LineClass)


def test_florists_have_standing_orders_of_every_shape() -> None:
    orders = demo_farm().standing_orders
    lines = demo_farm().standing_lines

    assert len({order.customer for order in orders if order.status is StandingStatus.ACTIVE}) >= 7
    assert {order.every for order in orders} == {1, 2}
    assert StandingStatus.PAUSED in {order.status for order in orders}
    for shape in ("choice", "substitutes", "minimum", "min_length_cm", "stage", "max_age_days"):
        assert any(getattr(line, shape) for line in lines), shape


def test_weddings_are_contracted_on_hold_and_quoted_and_leave_one_or_two_days_ahead() -> None:
    weddings = [order for order in demo_farm().orders if order.kind is OrderKind.WEDDING]
    ahead = {order.event_date - order.due_date for order in weddings if order.event_date is not None}

    assert len(weddings) == 6
    assert {order.status for order in weddings} == {OrderStatus.CONTRACTED, OrderStatus.ON_HOLD, OrderStatus.QUOTED}
    assert ahead <= {timedelta(days=1), timedelta(days=2)}


def test_a_cut_day_serves_every_due_date() -> None:
    site = demo_farm().site
    hold = {variety.key: crop_for(variety).hold_days for variety in demo_farm().varieties}

    def is_served(line: DatedLine, product: Product) -> bool:
        days = cut_days_for(
            line.due,
            weekdays=site.cut_weekdays,
            hold_days=hold[product.variety],
            condition_days=site.condition_days,
            today=TODAY,
        )
        return product.form is Form.DRIED or bool(days)

    unserved = [line for line in demo_lines() if not any(is_served(line, product) for product in products_for(line))]

    assert unserved == []


def test_temperatures_cover_twenty_whole_years_without_a_gap() -> None:
    days = [row.date for row in demo_farm().temperatures]

    assert days == [date(1986, 1, 1) + timedelta(days=n) for n in range(len(days))]
    assert days[-1] == date(2005, 12, 31)
    assert all(row.min_c <= row.max_c for row in demo_farm().temperatures)


def test_the_page_about_it_says_how_much_there_is() -> None:
    page = (ROOT / "docs/reference/demo-farm.md").read_text(encoding="utf-8").replace("\n  ", " ")

    assert f"{len(demo_farm().batches)} batches of {len(demo_farm().varieties)} varieties" in page
    assert f"{len(demo_farm().standing_orders)} standing orders" in page
    assert f"{len(demo_lines())} dated lines" in page
