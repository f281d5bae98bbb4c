"""Sound small farms drawn at random, for laws that hold for every farm."""

from __future__ import annotations

import datetime as dt
import string
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from haulm.farm.batches import Batch
from haulm.farm.beds import Bed, Spray
from haulm.farm.costs import CostRules
from haulm.farm.limits import NUMBERS
from haulm.farm.orders import Change, Customer, Order, OrderLine, Price, Recipe, StandingLine, StandingOrder
from haulm.farm.products import Choice, Product
from haulm.farm.records import DayTemperature, KnownStems, Record
from haulm.farm.site import (
    ClassLevels,
    Cutoff,
    FrostDates,
    MonthDay,
    MonthlyTemperatures,
    PriceRules,
    Site,
    SowingSeason,
)
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import LengthShare, Stage, Variety
from haulm.farm.weeks import Week
from haulm.farm.words import (
    USUAL_CLASS_ORDER,
    BatchStatus,
    BedKind,
    CustomerKind,
    Form,
    Grade,
    Habit,
    LifeCycle,
    LossReason,
    Method,
    OrderKind,
    OrderPart,
    OrderStatus,
    PriceFrom,
    RecordKind,
    Role,
    StandingStatus,
    Weekday,
)
from support.decision_strategies import piece_decisions, ticks
from support.past_year_strategies import past_years
from support.records_in_order import in_order
from support.usual_sale_strategies import usual_sales


def between(ends: str, middle: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """Text that begins and ends with one of some characters, so that no blank stands at its ends."""
    end = st.sampled_from(ends)
    return st.builds("".join, st.tuples(end, middle, end))


_KEY_ENDS = string.ascii_letters + string.digits
_CLEAN = st.characters(codec="utf-8", exclude_categories=("Cc", "Zl", "Zp"))
KEYS = between(_KEY_ENDS, st.text(_KEY_ENDS + "_.-", max_size=3))
TEXTS = between("ab\"'=é|", st.text(_CLEAN, max_size=6))
NOTES = st.just("") | between('a,;"|#', st.text('ab,;"\n\t=|# é', max_size=8))
PHONES = st.from_regex(r"\+?[0-9]{2,5}[ -]?\(?[0-9]{1,5}\)?[ ./]?[0-9]{1,5}", fullmatch=True)
DAYS = st.dates(dt.date(2026, 1, 1), dt.date(2028, 12, 31))
LATER = st.integers(0, 40).map(lambda days: dt.timedelta(days=days))
WEEKS = DAYS.map(Week.of)
MONTH_DAYS = st.dates(dt.date(2000, 1, 1), dt.date(2000, 12, 31)).map(lambda day: MonthDay(day.month, day.day))
CHOICES = st.builds(
    Choice,
    st.lists(st.sampled_from(Role), unique=True, max_size=2).map(tuple),
    st.lists(st.sampled_from(("white", "cream", "tan")), unique=True, max_size=2).map(tuple),
    st.sampled_from(((Form.FRESH,), (Form.DRIED,), (Form.FRESH, Form.DRIED))),
)
RECIPES = st.builds(Recipe, TEXTS, st.sampled_from(Role), st.integers(1, 99), NOTES)
THROUGH = ("weeks_through", "stems_through")

LEVELS = st.integers(1, 99).map(lambda hundredths: hundredths / 100)
WEEKDAYS = st.lists(st.sampled_from(Weekday), unique=True, min_size=1).map(tuple)
TIMES = st.builds(dt.time, st.integers(0, 23), st.integers(0, 59))


def number(collection: str, name: str) -> st.SearchStrategy[float]:
    """A number inside its limits, with at most three decimals."""
    limits = NUMBERS[collection][name]
    edge = 1 if limits.is_open else 0
    thousandths = st.integers(int(limits.low * 1000) + edge, int(limits.high * 1000) - edge)
    return thousandths.map(lambda value: value / 1000)


def count(collection: str, name: str) -> st.SearchStrategy[int]:
    """A whole number inside its limits."""
    limits = NUMBERS[collection][name]
    return st.integers(int(limits.low), int(limits.high))


def perhaps(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """A value, or none."""
    return st.none() | values


def keyed(rows: st.SearchStrategy[Any], max_size: int = 2) -> st.SearchStrategy[tuple[Any, ...]]:
    """A few rows with keys of their own."""
    return st.lists(rows, max_size=max_size, unique_by=lambda row: row.key).map(tuple)


def keys_of(rows: Sequence[Any]) -> st.SearchStrategy[str]:
    """The key of one of the rows; nothing can be drawn where there are none."""
    return st.sampled_from([row.key for row in rows]) if rows else st.nothing()


@st.composite
def sites(draw: st.DrawFn) -> Site:
    """A site; frost, temperatures, seasons and prices are sometimes there."""
    first = draw(st.integers(1, 300))
    one_level = draw(perhaps(LEVELS))
    spring, autumn = (
        [MonthDay.parse(f"{dt.date(2001, 1, 1) + dt.timedelta(days=first + n):%m-%d}") for n in days]
        for days in ((0, 9, 30), (20, 40, 60))
    )
    low = draw(st.lists(st.integers(-300, 200).map(lambda tenths: tenths / 10), min_size=12, max_size=12))
    season = st.builds(SowingSeason, MONTH_DAYS, perhaps(MONTH_DAYS), perhaps(MONTH_DAYS))
    return Site(
        name=draw(TEXTS),
        latitude=draw(st.integers(-9000, 9000)) / 100,
        timezone=draw(st.sampled_from(("UTC", "Europe/Brussels", "Pacific/Auckland"))),
        currency=draw(st.sampled_from(("EUR", "NZD"))),
        **{name: draw(WEEKDAYS) for name in ("cut_days", "digest_days", "work_days")},
        costs=draw(st.builds(CostRules, perhaps(st.integers(0, 900)), plug_kinds=st.sampled_from(((), ("a", "b-1"))))),
        bucket_day=draw(st.sampled_from(Weekday)),
        **{name: draw(st.integers(0, 14)) for name in ("condition_days", "wedding_days_ahead")},
        careful_share=draw(st.sampled_from((0.01, 0.05, 0.2))),
        cutoff=draw(st.builds(Cutoff, st.sampled_from(Weekday), TIMES)),
        default_confidence=one_level,
        levels=ClassLevels() if one_level is not None else draw(st.builds(ClassLevels, *[LEVELS] * 4)),
        class_order=tuple(draw(st.permutations(USUAL_CLASS_ORDER))),
        frost=draw(perhaps(st.just(FrostDates(*spring, *autumn)))),
        temperatures=draw(perhaps(st.just(MonthlyTemperatures(tuple(low), tuple(value + 7.5 for value in low))))),
        seasons=draw(st.dictionaries(st.sampled_from(("hardy", "half_hardy")), season)),
        prices=draw(st.builds(PriceRules, st.integers(0, 900), tax_percent=st.integers(0, 200).map(lambda n: n / 10))),
    )


def varieties() -> st.SearchStrategy[Variety]:
    """A variety with or without each of its values."""
    stages = ((), (Stage("young", "cream", 0, 4),), (Stage("young", "cream", 0, 4), Stage("old", "tan", 5, 12)))
    lengths = ((), (LengthShare(40, 1.0),), (LengthShare(30, 0.25), LengthShare(40, 0.75)))
    whole = (
        "seeds_per_place",
        "harden_days",
        "hold_days",
        "stand_days",
        "dry_days",
        "dried_keep_days",
        "bunch_stems",
        "price_minor",
        "dried_price_minor",
    )
    numbers = {
        name: perhaps(count("varieties", name) if name in whole else number("varieties", name))
        for name in NUMBERS["varieties"]
        if name not in THROUGH
    }
    drawn = st.builds(
        Variety,
        KEYS,
        TEXTS,
        botanical_name=perhaps(TEXTS),
        life_cycle=perhaps(st.sampled_from(LifeCycle)),
        role=perhaps(st.sampled_from(Role)),
        colour=perhaps(TEXTS),
        habit=perhaps(st.sampled_from(Habit)),
        lengths=st.sampled_from(lengths),
        stages=st.sampled_from(stages),
        food_use=perhaps(st.booleans()),
        caution=perhaps(TEXTS),
        **numbers,
    )
    return st.builds(_with_seasons, drawn, *(perhaps(count("varieties", name)) for name in THROUGH))


def _with_seasons(row: Variety, *through: int | None) -> Variety:
    """Own figures say through which season they hold what was seen; a figure of the library never does."""
    own = (row.weeks_to_flower, row.stems_per_plant)
    said = {name: None if own[at] is None else through[at] for at, name in enumerate(THROUGH)}
    return replace(row, **said)


@st.composite
def batches(draw: st.DrawFn, known: Sequence[Variety], places: Sequence[Bed]) -> Batch:
    """A batch of one of the varieties, in one of the beds or in none yet."""
    sow = draw(perhaps(DAYS))
    return Batch(
        key=draw(KEYS),
        variety=draw(keys_of(known)),
        sow_date=sow,
        method=draw(st.sampled_from(Method)),
        form=draw(st.sampled_from(Form)),
        sown=draw(perhaps(st.integers(100, 400))),
        plants=draw(perhaps(st.integers(0, 400))),
        trays=draw(perhaps(number("batches", "trays"))),
        tray=draw(perhaps(TEXTS)),
        bed=draw(perhaps(keys_of(places))) if places else None,
        metres=draw(perhaps(number("batches", "metres"))),
        plant_out_date=None if sow is None else draw(perhaps(LATER.map(lambda days: sow + days))),
        status=draw(st.sampled_from(BatchStatus)),
    )


@st.composite
def records(draw: st.DrawFn, known: Sequence[Batch]) -> Record:
    """A record of a batch, made after it was sown, or a frost."""
    kind = draw(st.sampled_from([kind for kind in RecordKind if kind is not RecordKind.CORRECTED]))
    about = None if kind is RecordKind.FROST else draw(st.sampled_from(known))
    sow = (about.sow_date if about else None) or dt.date(2027, 3, 1)
    return Record(
        key=draw(KEYS),
        date=sow if kind in (RecordKind.SOWN, RecordKind.RESOWN) else sow + draw(LATER),
        kind=kind,
        batch=about.key if about else None,
        count=draw(st.integers(0, 100)) if kind not in (RecordKind.SOWN, RecordKind.RESOWN) else 100,
        left=draw(perhaps(count("records", "left"))),
        final=draw(st.booleans()),
        grade=draw(perhaps(st.sampled_from(Grade))),
        length_cm=draw(perhaps(count("records", "length_cm"))),
        note=draw(NOTES),
        reason=draw(perhaps(st.sampled_from(LossReason))) if kind in (RecordKind.LOST, RecordKind.WASTE) else None,
        typed_at=draw(perhaps(st.sampled_from(("2027-06-14T07:12:00.000Z", "2027-06-14T07:12:00.001Z")))),
        really=draw(st.booleans()),
    )


@st.composite
def counts_of_stems(draw: st.DrawFn, products: st.SearchStrategy[Product]) -> KnownStems:
    """Stems standing, cut or dried."""
    ready = draw(DAYS)
    cut = draw(perhaps(LATER.map(lambda days: ready + days)))
    until = draw(perhaps(LATER.map(lambda days: (cut or ready) + days)))
    length = draw(perhaps(count("known_stems", "length_cm")))
    return KnownStems(draw(KEYS), draw(products), ready, draw(st.integers(0, 500)), cut, length, until, draw(NOTES))


@st.composite
def standing_orders(draw: st.DrawFn, buyers: Sequence[Customer]) -> StandingOrder:
    """A standing order of one of the customers."""
    first = draw(WEEKS)
    return StandingOrder(
        key=draw(KEYS),
        customer=draw(keys_of(buyers)),
        weekday=draw(st.sampled_from(Weekday)),
        first_week=first,
        last_week=first.plus(draw(st.integers(0, 30))),
        every=draw(st.sampled_from((1, 2))),
        committed_on=draw(perhaps(DAYS)),
        status=draw(st.sampled_from(StandingStatus)),
    )


@st.composite
def orders(draw: st.DrawFn, buyers: Sequence[Customer], known: Sequence[Variety]) -> Order:
    """A dated order of one of the customers."""
    due, status = draw(DAYS), draw(st.sampled_from(OrderStatus))
    return Order(
        key=draw(KEYS),
        customer=draw(keys_of(buyers)),
        kind=draw(st.sampled_from(OrderKind)),
        due_date=due,
        event_date=draw(perhaps(LATER.map(lambda days: due + days))),
        committed_on=draw(perhaps(LATER.map(lambda days: due - days))),
        status=status,
        hold_until=draw(DAYS if status is OrderStatus.ON_HOLD else perhaps(DAYS)),
        final_numbers_date=draw(perhaps(LATER.map(lambda days: due - days))),
        unacceptable=tuple(draw(st.lists(keys_of(known), unique=True, max_size=2))) if known else (),
    )


@st.composite
def lines(draw: st.DrawFn, noun: type[Any], known_orders: Sequence[Any], products: st.SearchStrategy[Product]) -> Any:
    """A line of a product with substitutes, or of a choice."""
    product, stems = draw(perhaps(products)), draw(st.integers(1, 400))
    others = draw(st.lists(products, unique=True, max_size=2))
    made = noun(
        key=draw(KEYS),
        order=draw(keys_of(known_orders)),
        stems=stems,
        product=product,
        choice=draw(CHOICES) if product is None else None,
        minimum=draw(st.integers(0, stems)),
        substitutes=tuple(other for other in others if other != product),
        stage=draw(perhaps(TEXTS)) if product is None else None,
        min_length_cm=draw(count("order_lines", "min_length_cm")),
        max_each=draw(perhaps(st.integers(1, 400))) if product is None else None,
        max_age_days=draw(perhaps(st.integers(0, 9))),
        promised_confidence=draw(perhaps(number("order_lines", "promised_confidence"))),
    )
    if draw(st.booleans()):
        minor, bunch, origin = draw(st.tuples(st.integers(0, 9000), st.integers(1, 25), st.sampled_from(PriceFrom)))
        made = replace(made, bunch_price_minor=minor, bunch_stems=bunch, price_from=origin)
    if noun is StandingLine:
        return made
    made = replace(made, part=draw(perhaps(st.sampled_from(OrderPart))), spare=draw(st.integers(0, 9)))
    return replace(made, agreed_price_minor=draw(perhaps(st.integers(0, 9000))), no_substitute=draw(st.booleans()))


@st.composite
def changes(draw: st.DrawFn, known_orders: Sequence[StandingOrder], known_lines: Sequence[StandingLine]) -> Change:
    """A change of one week of one of the standing orders."""
    about = draw(st.sampled_from(known_orders))
    week = about.first_week.plus(draw(st.integers(0, 3)))
    own = [line for line in known_lines if line.order == about.key]
    line = draw(perhaps(keys_of(own))) if own else None
    return Change(draw(KEYS), about.key, min(week, about.last_week), draw(st.integers(0, 90)), line, draw(NOTES))


def beds() -> st.SearchStrategy[Bed]:
    """A bed, a tunnel or a bench."""
    return st.builds(
        Bed,
        KEYS,
        TEXTS,
        perhaps(number("beds", "metres")),
        number("beds", "width_cm"),
        perhaps(count("beds", "trays")),
        st.sampled_from(BedKind),
        perhaps(count("beds", "walk")),
    )


def customers() -> st.SearchStrategy[Customer]:
    """A customer, with or without an address or a phone."""
    reached = (perhaps(st.just("ann@example.org")), perhaps(PHONES))
    return st.builds(Customer, KEYS, TEXTS, st.sampled_from(CustomerKind), *reached, count("customers", "notice_days"))


def prices(products: st.SearchStrategy[Product], buyers: Sequence[Customer]) -> st.SearchStrategy[Price]:
    """A price for one customer or for all, from a length on or for any."""
    buyer = perhaps(keys_of(buyers)) if buyers else st.none()
    price, length = perhaps(count("prices", "price_minor")), perhaps(st.sampled_from((0, 40)))
    return st.builds(Price, products, price, buyer, length, perhaps(st.just(5)), perhaps(WEEKS))


@st.composite
def sprays(draw: st.DrawFn, known: Sequence[Bed]) -> Spray:
    """A spray of one of the beds."""
    day = draw(DAYS)
    return Spray(draw(KEYS), draw(keys_of(known)), day, day + draw(LATER), draw(NOTES))


@st.composite
def growing_farms(draw: st.DrawFn) -> Farm:
    """A farm that grows and sells nothing yet."""
    known, places = draw(keyed(varieties())), draw(keyed(beds()))
    sown = draw(keyed(batches(known, places))) if known else ()
    products, days = st.builds(Product, keys_of(known), st.sampled_from(Form)), sorted(draw(st.sets(DAYS, max_size=3)))
    return Farm(
        site=draw(sites()),
        varieties=known,
        beds=places,
        batches=sown,
        records=in_order(draw(keyed(records(sown), max_size=4))) if sown else (),
        known_stems=draw(keyed(counts_of_stems(products))) if known else (),
        temperatures=tuple(DayTemperature(day, low := draw(st.integers(-40, 20)) / 4, low + 5) for day in days),
        sprays=draw(keyed(sprays(places))) if places else (),
        piece_decisions=draw(piece_decisions(keys_of(known), NOTES)) if known else (),
        past_years=draw(past_years(keys_of(known), KEYS, NOTES)),
        at_home=draw(ticks(keys_of(known))) if known else (),
    )


@st.composite
def farms(draw: st.DrawFn) -> Farm:
    """A small sound farm: everything that the folder holds may be there, and nothing that it refuses."""
    growing, buyers = draw(growing_farms()), draw(keyed(customers()))
    known = growing.varieties
    products = st.builds(Product, keys_of(known), st.sampled_from(Form))
    standing = draw(keyed(standing_orders(buyers))) if buyers else ()
    dated = draw(keyed(orders(buyers, known))) if buyers else ()
    standing_lines = draw(keyed(lines(StandingLine, standing, products))) if standing and known else ()
    order_lines = draw(keyed(lines(OrderLine, dated, products))) if dated and known else ()
    listed = st.lists(
        prices(products, buyers), max_size=3, unique_by=lambda row: (row.product, row.customer, row.length_cm)
    )
    return replace(
        growing,
        customers=buyers,
        standing_orders=standing,
        standing_lines=standing_lines,
        changes=draw(keyed(changes(standing, standing_lines))) if standing else (),
        orders=dated,
        order_lines=tuple(line for line in order_lines if line.key not in {one.key for one in standing_lines}),
        prices=tuple(draw(listed)) if known else (),
        recipes=tuple(draw(st.lists(RECIPES, max_size=3, unique_by=lambda row: (row.piece, row.role)))),
        usual_sales=draw(usual_sales(products, CHOICES, KEYS, [row.key for row in buyers])) if known else (),
    )
