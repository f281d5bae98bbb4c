"""The week's list to the florists: one letter each, once a week, with what is sure for it and the way to answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from haulm.farm.place_words import Place
from haulm.farm.warnings import only_dried, warnings_at
from haulm.farm.words import CustomerKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.florists.florist_page import FloristPage, Offered, florist_page
from haulm.jobs.florists.no_more_mail import wants_no_mail
from haulm.language.words import _
from haulm.store.outbox import Letter
from haulm.store.unit_of_work import UnitOfWork

AVAILABILITY = "availability"


def lists_to_send(desk: Desk) -> tuple[FloristPage, ...]:
    """What every florist who wants the list by mail is to read of the coming bucket day."""
    florists = [
        customer.key
        for customer in desk.store.farm().customers
        if customer.kind is CustomerKind.FLORIST and customer.email and not wants_no_mail(desk, customer.key)
    ]
    return tuple(florist_page(desk, key) for key in florists)


def send_availability(desk: Desk, actor: str) -> int:
    """Queue the lists of the coming bucket day in one go; gives how many were new."""
    pages = lists_to_send(desk)
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        queued = queue_lists(work, pages)
        work.save()
    return queued


def queue_lists(work: UnitOfWork, pages: Sequence[FloristPage]) -> int:
    """Queue the lists, each once a week and florist; gives how many were new."""
    sent = [
        found.customer.key
        for found in pages
        if work.send(
            Letter(
                AVAILABILITY,
                found.customer.key,
                availability_facts(found),
                f"{AVAILABILITY}/{found.week}/{found.customer.key}",
            )
        )
    ]
    if sent:
        work.enter("availability-sent", f"weeks/{pages[0].week}", {"customers": sent})
    return len(sent)


def availability_facts(found: FloristPage) -> Mapping[str, Any]:
    """What the letter says; nobody else's order is in it."""
    kinds = [one.crop for one in found.offered]
    return {
        "farm": found.farm,
        "week": str(found.week),
        "monday": found.week.monday.isoformat(),
        "order_by": f"{found.order_by:%a} {found.order_by.day} {found.order_by:%b, %H:%M}",
        "hoped": [
            {"name": _name(one), "bunches": one.hope_bunches, "bunch_stems": one.crop.bunch_stems}
            for one in found.hoped
        ],
        "rows": [
            {
                "name": _name(one),
                "length": one.length,
                "bunches": one.bunches,
                "hope": one.hope_bunches,
                "bunch_stems": one.crop.bunch_stems,
                "price": money_words(one.price_minor, found.currency) if one.price_minor else "",
                "caution": "",
            }
            for one in found.offered
        ],
        "care": [
            str(one) for one in warnings_at(Place.CONDITIONING, kinds, only_dried(one.product for one in found.offered))
        ],
        "coming": [
            {"name": crop.name, "week": _("week {number}").format(number=week.number)} for crop, week in found.coming
        ],
    }


def _name(one: Offered) -> str:
    return one.crop.name + (_(", dried") if one.product.form == "dried" else "")
