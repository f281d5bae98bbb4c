"""What a florist sees by her link: what is sure and coming, her own standing order, and what she has answered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from haulm.advice.asked_words import asked_in_words
from haulm.advice.pricing import PriceList, whole_minor
from haulm.advice.shortfalls import asked_of
from haulm.errors import NotFound
from haulm.farm.orders import Customer
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week, cutoff_before, next_of
from haulm.farm.words import Form, LineClass, Weekday
from haulm.jobs.desk import Desk
from haulm.jobs.list_availability import AvailabilityAsked, list_availability
from haulm.planning.plan import Plan

REPLIED = "florist-replied"
_COMING_WEEKS = 6


@dataclass(frozen=True, slots=True)
class Offered:
    """A kind with whole bunches to offer or to hope for, and the price of one.

    Attributes:
        product: what.
        crop: its kind.
        bunches: whole bunches free to promise.
        hope_bunches: whole bunches that the farm may hope to offer, no fewer.
        length: its length classes in words, or empty.
        price_minor: of a bunch [minor units]; 0 where the farm has set none.
    """

    product: Product
    crop: Crop
    bunches: int
    hope_bunches: int
    length: str
    price_minor: int


@dataclass(frozen=True, slots=True)
class OwnLine:
    """A line that the florist has ordered.

    Attributes:
        line, order: their keys.
        asked: what, in words.
        due: the day it leaves.
        stems: how many.
        is_standing: whether it is of a standing order, which she may change for once.
    """

    line: str
    order: str
    asked: str
    due: date
    stems: int
    is_standing: bool


@dataclass(frozen=True, slots=True)
class FloristPage:
    """All that a florist may see, and nothing of anybody else.

    Attributes:
        customer: who she is.
        farm: the farm's name.
        currency: of the prices.
        week: the week of the next bucket day.
        order_by: the last moment to change it, in the farm's own time.
        is_late: whether that has passed.
        offered: what is sure for the day on which her stems leave; the bucket day where nothing of hers is standing.
        hoped: what may be hoped for on that day, with no bunch that is sure.
        coming: kinds that come in later weeks, with the first week in which they are sure.
        own: what she has ordered for that day and the six after it, whatever the kind of order.
        answers: what she has answered for the week, oldest first.
    """

    customer: Customer
    farm: str
    currency: str
    week: Week
    order_by: datetime
    is_late: bool
    offered: tuple[Offered, ...]
    hoped: tuple[Offered, ...]
    coming: tuple[tuple[Crop, Week], ...]
    own: tuple[OwnLine, ...]
    answers: tuple[Mapping[str, Any], ...]


def florist_page(desk: Desk, key: str) -> FloristPage:
    """The page of one florist.

    Raises:
        NotFound: there is no such customer.
    """
    plan = desk.plan()
    site = plan.farm.site
    customer = customer_named(plan, key)
    bucket_day = next_of(desk.today(), (site.bucket_day,))
    week = Week.of(bucket_day)
    order_by = order_by_of(site, bucket_day)
    own = tuple(_own_lines(plan, key, bucket_day))
    leaves = own[0].due if own and own[0].is_standing else bucket_day
    weekday = next(found for found in Weekday if found.iso == leaves.isoweekday())
    asked = AvailabilityAsked(Week.of(leaves), _COMING_WEEKS, site.free_level, weekday)
    rows = list_availability(desk, asked)
    prices = PriceList(plan.farm.prices, plan.crops, site.prices)
    found: list[Offered] = []
    coming: dict[str, Week] = {}
    for row in rows:
        crop = plan.crops[row.product.variety]
        bunches, hope = row.free_to_promise // crop.bunch_stems, row.hope_to_offer // crop.bunch_stems
        if hope and (row.week is None or row.week == asked.first):
            price = whole_minor(prices.stem_price(row.product, customer=key, week=asked.first) * crop.bunch_stems)
            found.append(Offered(row.product, crop, bunches, hope, _lengths(crop), price))
        elif bunches and row.week is not None and row.product.form is Form.FRESH:
            coming.setdefault(crop.key, row.week)
    offered = tuple(one for one in found if one.bunches)
    hoped = tuple(one for one in found if not one.bunches)
    here = {one.crop.key for one in offered}
    later = tuple((plan.crops[name], first) for name, first in coming.items() if name not in here)
    answers = tuple(
        {**entry.facts, "seq": entry.seq}
        for entry in desk.store.entries_of(REPLIED, about=f"customers/{key}")
        if entry.facts["week"] == str(week)
    )
    is_late = local_now(desk, site) > order_by
    return FloristPage(customer, site.name, site.currency, week, order_by, is_late, offered, hoped, later, own, answers)


def customer_named(plan: Plan, key: str) -> Customer:
    """A customer by key.

    Raises:
        NotFound: there is none.
    """
    found = next((customer for customer in plan.farm.customers if customer.key == key), None)
    if found is None:
        raise NotFound(kind="customer", key=key)
    return found


def order_by_of(site: Site, bucket_day: date) -> datetime:
    """The last moment to change an order for a bucket day, in the farm's own time."""
    return cutoff_before(bucket_day, site.cutoff.weekday, site.cutoff.at)


def local_now(desk: Desk, site: Site) -> datetime:
    """The moment in the farm's own time, on the day that stands for today."""
    clock = desk.now().astimezone(ZoneInfo(site.timezone)).time()
    return datetime.combine(desk.today(), clock.replace(tzinfo=None))


def _own_lines(plan: Plan, key: str, day: date) -> list[OwnLine]:
    """The customer's lines of a bucket day, the standing ones first."""
    until = day + timedelta(days=7)
    found = [
        OwnLine(
            line.line,
            line.order,
            asked_in_words(asked_of(line), plan.crops),
            line.due,
            line.stems,
            line.line_class is LineClass.STANDING,
        )
        for line in plan.result.lines
        if line.customer == key and day <= line.due < until and not line.is_spare
    ]
    return sorted(found, key=lambda line: (not line.is_standing, line.due, line.line))


def _lengths(crop: Crop) -> str:
    found = [share.length_cm for share in crop.lengths]
    if not found:
        return ""
    return f"{found[0]} cm" if len(found) == 1 else f"{found[0]} to {found[-1]} cm"
