"""Whether a customer wants to be told by mail what there is; ending it is one entry, and so is wanting it again."""

from __future__ import annotations

from haulm.errors import NotFound
from haulm.jobs.desk import Desk
from haulm.store.unit_of_work import UnitOfWork

WANTED = "mail-wanted"


def wants_no_mail(desk: Desk, customer: str) -> bool:
    """Whether a customer has ended the lists by mail."""
    entry = desk.store.last_entry(WANTED, f"customers/{customer}")
    return entry is not None and not entry.facts["wanted"]


def want_mail(work: UnitOfWork, customer: str, *, wanted: bool) -> None:
    """End the lists by mail for a customer, or begin them again.

    Raises:
        NotFound: there is no such customer.
    """
    if all(found.key != customer for found in work.farm.customers):
        raise NotFound(kind="customer", key=customer)
    work.enter(WANTED, f"customers/{customer}", {"wanted": wanted})
