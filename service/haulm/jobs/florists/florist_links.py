"""The number at which a florist's links stand: ending them raises it, and older links open nothing."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.errors import NotFound
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

ENDED = "florist-links-ended"


def link_numbers(desk: Desk) -> Mapping[str, int]:
    """The number of each customer whose links were ended before; the others stand at 0."""
    return {entry.subject.partition("/")[2]: entry.seq for entry in desk.store.entries_of(ENDED)}


def link_number(desk: Desk, customer: str) -> int:
    """The number at which a customer's links stand."""
    entry = desk.store.last_entry(ENDED, f"customers/{customer}")
    return 0 if entry is None else entry.seq


def end_links(work: UnitOfWork, customer: str) -> None:
    """Make every link of a customer worth nothing.

    Raises:
        NotFound: there is no such customer.
    """
    if all(found.key != customer for found in work.farm.customers):
        raise NotFound(kind=_("customer"), key=customer)
    work.enter(ENDED, f"customers/{customer}")
