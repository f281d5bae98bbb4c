"""Erase somebody: name, address, words and notes go for good; orders, books and the journal stay by the key."""

from __future__ import annotations

from haulm.jobs.florists.florist_links import end_links
from haulm.store.unit_of_work import UnitOfWork


def forget_person(work: UnitOfWork, customer: str) -> None:
    """Erase all that is kept of a customer as a person, and make every link of theirs worth nothing.

    Raises:
        NotFound: there is no such customer.
    """
    work.erase_person(customer)
    end_links(work, customer)
