"""Tell customers on the bucket day what is expected of the week's list: one letter each, never a second of a day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.errors import NotAccepted
from haulm.farm.weeks import last_of
from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.confirmed_lists import settled_of, subject_of
from haulm.jobs.bucket_day.keep_shares import keep_shares
from haulm.jobs.bucket_day.letters import expected_letter
from haulm.jobs.bucket_day.listed import WeekList
from haulm.jobs.bucket_day.told_letters import EXPECTED_TOLD, told_expected
from haulm.jobs.bucket_day.told_week import ToldDelivery, told_week
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.planning.plan import Plan
from haulm.store.unit_of_work import UnitOfWork


@dataclass(frozen=True, slots=True)
class ExpectedTold:
    """Who is told: customers whose letter was queued, and those without an address, who have something expected."""

    queued: tuple[str, ...]
    no_address: tuple[str, ...]


def tell_expected(desk: Desk, work: UnitOfWork, day: date, evenly: frozenset[str] | None = None) -> ExpectedTold:
    """Queue what is expected to everybody on this week's list who was not told yet, shared as the grower chose.

    What the letters call theirs is written down with them: it falls only by a record, and then somebody has to ring.

    Args:
        desk: the desk.
        work: the unit of work.
        day: the bucket day.
        evenly: products that are shared evenly from now on; None: as it was kept.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
        NotAccepted: it is not the list of this week, or a product is none of it.
    """
    _check_day(desk, work, day)
    draft = keep_shares(desk, work, day, evenly)
    week = WeekList(draft, settled_of(desk, day))
    found = _to_tell(desk.plan_of(work.farm), week)
    addresses = {customer.key for customer in work.farm.customers if customer.email}
    told = told_expected(desk.store, day)
    queued = [
        customer
        for customer, own in found.items()
        if customer in addresses - told and work.send(expected_letter(work.farm, day, customer, own))
    ]
    if queued:
        work.enter(EXPECTED_TOLD, subject_of(day), {"customers": queued})
    return ExpectedTold(tuple(queued), tuple(sorted(found.keys() - addresses)))


@dataclass(frozen=True, slots=True)
class Telling:
    """How far it is with telling what is expected of a list, by customers.

    Attributes:
        is_due: whether it is the list of this week, of which is told what is expected.
        told: who was told.
        waiting: who has something expected, an address, and was not told.
        no_address: who has something expected and no address.
    """

    is_due: bool
    told: tuple[str, ...]
    waiting: tuple[str, ...]
    no_address: tuple[str, ...]


def see_telling(desk: Desk, week: WeekList) -> Telling:
    """How far it is with telling what is expected of a list."""
    farm, day = desk.store.farm(), week.draft.day
    told, found = told_expected(desk.store, day), _to_tell(desk.plan(), week).keys()
    addresses = {customer.key for customer in farm.customers if customer.email}
    return Telling(
        day == last_of(desk.today(), (farm.site.bucket_day,)),
        tuple(sorted(told)),
        tuple(sorted((found & addresses) - told)),
        tuple(sorted(found - addresses)),
    )


def _check_day(desk: Desk, work: UnitOfWork, day: date) -> None:
    this = last_of(desk.today(), (work.farm.site.bucket_day,))
    if day != this:
        accepted = _("{this}, the list of this week; the next is told from {next} on").format(
            this=this, next=this + timedelta(days=7)
        )
        raise NotAccepted(where=_("bucket day"), found=str(day), accepted=accepted)


def _to_tell(plan: Plan, week: WeekList) -> Mapping[str, list[ToldDelivery]]:
    """What is still expected, by customer; the stall is nobody."""
    stall = {one.delivery for one in week.draft.lines if one.line.line_class is LineClass.STALL}
    found = {
        customer: [one for one in told_week(plan, week, customer) if not one.is_settled and one.key not in stall]
        for customer in sorted({one.customer for one in week.draft.deliveries})
    }
    return {customer: own for customer, own in found.items() if own}
