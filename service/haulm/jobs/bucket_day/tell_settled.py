"""Tell a customer what is settled: one letter a delivery, and another only when it is fewer than that letter said."""

from __future__ import annotations

from haulm.jobs.bucket_day.confirmed_lists import SettledDelivery, subject_of
from haulm.jobs.bucket_day.letters import settled_letter
from haulm.jobs.bucket_day.told_letters import SETTLED_TOLD, last_settled_told
from haulm.planning.keeping import crops_of
from haulm.store.unit_of_work import UnitOfWork


def tell_settled(work: UnitOfWork, one: SettledDelivery, entry: int) -> bool:
    """Queue the letter of a delivery as it is settled now, unless one told as much; whether it was told anew.

    What was told is kept also of a customer without an address: she sees it on her page, and is rung when it is fewer.

    Args:
        work: the unit of work that settles or corrects it.
        one: the delivery as it is now.
        entry: the entry that settled or corrected it.
    """
    subject = subject_of(one.day)
    before = last_settled_told(work.entries_of(SETTLED_TOLD, about=subject), one.key)
    now = {str(line["line"]): int(line["filled"]) for line in one.lines}
    if before is not None and all(now.get(line, 0) >= stems for line, stems in before.items()):
        return False
    facts = {"order": one.order, "due": one.due.isoformat(), "customer": one.customer, "lines": now}
    work.enter(SETTLED_TOLD, subject, facts)
    if any(customer.key == one.customer and customer.email for customer in work.farm.customers):
        work.send(settled_letter(work.farm, crops_of(work.farm), one, entry, correction=before is not None))
    return True
