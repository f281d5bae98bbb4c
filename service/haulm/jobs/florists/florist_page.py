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
from haulm.errors import NotAccepted, NotFound
from haulm.farm.orders import Customer
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week, cutoff_before, last_of, next_of
from haulm.farm.words import CustomerKind, Form, LineClass, Weekday
from haulm.jobs.bucket_day.see_week import week_of
from haulm.jobs.bucket_day.told_week import ToldDelivery, told_week
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.list_availability import AvailabilityAsked, list_availability
from haulm.language.words import _
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
        between: what she has ordered for the weeks after that and before this one, which are closed: week and lines.
        weeks: the weeks she may still ask for, the coming one first, with whether it is closed.
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
    between: tuple[tuple[Week, tuple[OwnLine, ...]], ...] = ()
    weeks: tuple[tuple[Week, bool], ...] = ()

    @property
    def orders_herself(self) -> bool:
        """Whether the page takes orders: a couple's stems are agreed with the farm, and only told of here."""
        return self.customer.kind is not CustomerKind.WEDDING or any(line.is_standing for line in self.own)


def florist_page(desk: Desk, key: str, asked_week: Week | None = None) -> FloristPage:
    """The page of one florist, for the coming bucket day or that of another week that she may ask for.

    Raises:
        NotFound: there is no such customer.
        NotAccepted: the week is none of those.
    """
    plan = desk.plan()
    site = plan.farm.site
    customer = customer_named(plan, key)
    bucket_day = day_to_answer(desk, asked_week)
    week = Week.of(bucket_day)
    order_by = order_by_of(site, bucket_day)
    own = tuple(_own_lines(plan, key, bucket_day))
    leaves = own[0].due if own and own[0].is_standing else bucket_day
    found, coming = _on_offer(desk, plan, key, leaves)
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
    days, now = days_to_answer(desk), local_now(desk, site)
    return FloristPage(
        customer,
        site.name,
        site.currency,
        week,
        order_by,
        is_late,
        offered,
        hoped,
        later,
        own,
        answers,
        between=tuple(
            (Week.of(day), tuple(_own_lines(plan, key, day))) for day in days if desk.today() < day < bucket_day
        ),
        weeks=tuple((Week.of(day), now > order_by_of(site, day)) for day in days),
    )


def _on_offer(desk: Desk, plan: Plan, key: str, leaves: date) -> tuple[list[Offered], dict[str, Week]]:
    """What there is or may be hoped for on a customer's day, and the first week in which each kind is sure later."""
    site = plan.farm.site
    weekday = next(found for found in Weekday if found.iso == leaves.isoweekday())
    asked = AvailabilityAsked(Week.of(leaves), _COMING_WEEKS, site.free_level, weekday)
    prices = PriceList(plan.farm.prices, plan.crops, site.prices)
    found: list[Offered] = []
    coming: dict[str, Week] = {}
    for row in list_availability(desk, asked):
        crop = plan.crops[row.product.variety]
        bunches, hope = row.free_to_promise // crop.bunch_stems, row.hope_to_offer // crop.bunch_stems
        if hope and (row.week is None or row.week == asked.first):
            price = whole_minor(prices.stem_price(row.product, customer=key, week=asked.first) * crop.bunch_stems)
            found.append(Offered(row.product, crop, bunches, hope, _lengths(crop), price))
        elif bunches and row.week is not None and row.product.form is Form.FRESH:
            coming.setdefault(crop.key, row.week)
    return found, coming


def days_to_answer(desk: Desk) -> tuple[date, ...]:
    """The bucket days a florist may ask for: the coming one, and each up to the first that is still open."""
    site, now = desk.store.farm().site, local_now(desk, desk.store.farm().site)
    days = [next_of(desk.today(), (site.bucket_day,))]
    while now > order_by_of(site, days[-1]):
        days.append(days[-1] + timedelta(days=7))
    return tuple(days)


def first_open_week(desk: Desk) -> Week:
    """The first week of which the list is not closed."""
    return Week.of(days_to_answer(desk)[-1])


def day_to_answer(desk: Desk, week: Week | None) -> date:
    """The bucket day that is asked for: the coming one, unless a week is named.

    Raises:
        NotAccepted: it is none that may be asked for.
    """
    days = days_to_answer(desk)
    found = next((day for day in days if week in (None, Week.of(day))), None)
    if found is None:
        accepted = _(" or ").join(str(Week.of(day)) for day in days)
        raise NotAccepted(where="week", found=str(week), accepted=accepted)
    return found


def see_told_week(desk: Desk, key: str) -> tuple[ToldDelivery, ...]:
    """What a customer is told of the list that runs: of the last bucket day, today included.

    Raises:
        NotFound: there is no such customer.
    """
    plan = desk.plan()
    customer_named(plan, key)
    day = last_of(desk.today(), (plan.farm.site.bucket_day,))
    return told_week(plan, week_of(desk, plan, day), key)


def customer_named(plan: Plan, key: str) -> Customer:
    """A customer by key.

    Raises:
        NotFound: there is none.
    """
    found = next((customer for customer in plan.farm.customers if customer.key == key), None)
    if found is None:
        raise NotFound(kind=_("customer"), key=key)
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
    return (
        _("{found} cm").format(found=found[0])
        if len(found) == 1
        else _("{shortest} to {longest} cm").format(shortest=found[0], longest=found[-1])
    )
