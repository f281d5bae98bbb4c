"""Who wants to be told by mail: a florist of what there is, the farm of what is short.

Ending it is one entry, and so is wanting it again.
"""

from __future__ import annotations

from haulm.errors import NotFound
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

WANTED = "mail-wanted"
THE_FARM = ""
"""Stands where a customer's key would; no key is empty."""


def wants_no_mail(desk: Desk, customer: str) -> bool:
    """Whether a customer has ended the lists by mail; or the farm, by `THE_FARM`, the early warning."""
    entry = desk.store.last_entry(WANTED, _subject(customer))
    return entry is not None and not entry.facts["wanted"]


def farm_wants_no_mail(desk: Desk) -> bool:
    """Whether the farm has ended the early warning by mail."""
    return wants_no_mail(desk, THE_FARM)


def want_mail(work: UnitOfWork, customer: str, *, wanted: bool) -> None:
    """End such mail for a customer or the farm, or begin it again.

    Raises:
        NotFound: there is no such customer.
    """
    if customer != THE_FARM and all(found.key != customer for found in work.farm.customers):
        raise NotFound(kind=_("customer"), key=customer)
    work.enter(WANTED, _subject(customer), {"wanted": wanted})


def _subject(customer: str) -> str:
    return "digest" if customer == THE_FARM else f"customers/{customer}"
