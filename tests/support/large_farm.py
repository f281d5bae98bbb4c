"""A large farm made up on the spot: for the import benchmark and whatever else needs size, never for its flowers."""

from __future__ import annotations

import math
import random
from datetime import date, timedelta

from haulm.crop_library.library import library
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.orders import Customer, Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.products import Product
from haulm.farm.records import DayTemperature, Record
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm.weeks import Week
from haulm.farm.words import BatchStatus, LifeCycle, Method, OrderKind, OrderStatus, RecordKind, Weekday

SEED = 2027
COLOURS = ("white", "pink", "blue")
ANNUALS = (LifeCycle.HARDY_ANNUAL, LifeCycle.HALF_HARDY_ANNUAL, LifeCycle.TENDER_ANNUAL)
VARIETIES, BEDS, CUSTOMERS = 60, 40, 40
FIRST_SOWING = date(2027, 2, 15)
SOWING_DAYS = 120
FIRST_WEEK, WEEKS = Week(2027, 22), 20
LINES_AN_ORDER = 5
DATED_LINES_FOR_EACH_STANDING_ORDER = 500
FIRST_YEAR, YEARS = 1998, 20
DUE_DAYS = (Weekday.TUE, Weekday.FRI)


def large_farm(batches: int = 250, lines: int = 15000) -> Farm:
    """A farm of so many batches and so many dated lines, the same one on every call.

    A fifth of the dated lines come from standing orders of 20 weeks, the others from dated orders.
    """
    draw = random.Random(SEED)
    varieties = _varieties()
    keys = [variety.key for variety in varieties]
    sown = tuple(_batch(number, keys[number % len(keys)], draw) for number in range(batches))
    customers = tuple(Customer(f"customer-{n:03d}", f"Customer {n}") for n in range(CUSTOMERS))
    standing = lines // DATED_LINES_FOR_EACH_STANDING_ORDER
    dated = lines - standing * LINES_AN_ORDER * WEEKS
    return Farm(
        site=Site(name="A large farm", latitude=51.0),
        varieties=varieties,
        beds=tuple(Bed(f"bed-{n:02d}", f"Bed {n}", metres=30.0, walk=n + 1) for n in range(BEDS)),
        batches=sown,
        records=_records(sown),
        temperatures=tuple(_temperatures(draw)),
        customers=customers,
        standing_orders=tuple(_standing_order(n) for n in range(standing)),
        standing_lines=tuple(_standing_line(n, draw.choice(keys)) for n in range(standing * LINES_AN_ORDER)),
        orders=tuple(_order(n, draw) for n in range(math.ceil(dated / LINES_AN_ORDER))),
        order_lines=tuple(_order_line(n, draw.choice(keys), draw) for n in range(dated)),
    )


def _varieties() -> tuple[Variety, ...]:
    kinds = [kind for kind, crop in library().items() if crop.life_cycle in ANNUALS]
    pairs = [(kind, colour) for colour in COLOURS for kind in kinds][:VARIETIES]
    return tuple(Variety(f"{kind}_{colour}", f"{kind} {colour}", colour=colour) for kind, colour in pairs)


def _batch(number: int, variety: str, draw: random.Random) -> Batch:
    plants = draw.randrange(40, 160, 10)
    sow_date = FIRST_SOWING + timedelta(days=draw.randrange(SOWING_DAYS))
    return Batch(
        f"batch-{number:04d}",
        variety,
        sow_date=sow_date,
        method=Method.COVER,
        sown=plants + plants // 4,
        plants=plants,
        trays=math.ceil(plants / 60),
        bed=f"bed-{number % BEDS:02d}",
        metres=math.ceil(plants / 16),
        plant_out_date=sow_date + timedelta(weeks=6),
        status=BatchStatus.SOWN,
    )


def _records(batches: tuple[Batch, ...]) -> tuple[Record, ...]:
    records = []
    for batch in batches:
        assert batch.sow_date is not None
        up = batch.sow_date + timedelta(days=14)
        records += [
            Record(f"{batch.key}-sown", batch.sow_date, RecordKind.SOWN, batch=batch.key, count=batch.sown),
            Record(f"{batch.key}-up", up, RecordKind.GERMINATED, batch=batch.key, count=batch.plants, final=True),
        ]
    return tuple(records)


def _temperatures(draw: random.Random) -> list[DayTemperature]:
    days = []
    day = date(FIRST_YEAR, 1, 1)
    while day.year < FIRST_YEAR + YEARS:
        mean = 10.0 - 8.0 * math.cos(2 * math.pi * (day.timetuple().tm_yday - 20) / 365.25) + draw.gauss(0, 2.5)
        days.append(DayTemperature(day, round(mean - 4, 1), round(mean + 4, 1)))
        day += timedelta(days=1)
    return days


def _standing_order(number: int) -> StandingOrder:
    return StandingOrder(
        f"standing-{number:03d}",
        f"customer-{number % CUSTOMERS:03d}",
        weekday=DUE_DAYS[number % 2],
        first_week=FIRST_WEEK,
        last_week=FIRST_WEEK.plus(WEEKS - 1),
        committed_on=date(2027, 1, 1 + number % 28),
    )


def _standing_line(number: int, variety: str) -> StandingLine:
    order = f"standing-{number // LINES_AN_ORDER:03d}"
    return StandingLine(f"{order}-{number % LINES_AN_ORDER}", order, stems=10, product=Product(variety))


def _order(number: int, draw: random.Random) -> Order:
    week = FIRST_WEEK.plus(draw.randrange(WEEKS))
    return Order(
        f"order-{number:05d}",
        f"customer-{number % CUSTOMERS:03d}",
        kind=OrderKind.ONE_OFF,
        due_date=week.day(draw.choice(DUE_DAYS)),
        committed_on=date(2027, 2, 1 + number % 28),
        status=OrderStatus.CONTRACTED,
    )


def _order_line(number: int, variety: str, draw: random.Random) -> OrderLine:
    order = f"order-{number // LINES_AN_ORDER:05d}"
    stems = draw.randrange(5, 30, 5)
    return OrderLine(f"{order}-{number % LINES_AN_ORDER}", order, stems=stems, product=Product(variety))
