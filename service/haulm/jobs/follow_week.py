"""Follow the week's list after every write: what is theirs is written down, and who has to be rung is told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import asked_of
from haulm.demand.precedence import demand
from haulm.farm.weeks import day_in_words, last_of
from haulm.jobs.bucket_lines import BucketLine
from haulm.jobs.confirmed_lists import OF_SETTLED, settled_deliveries, subject_of
from haulm.jobs.desk import Desk
from haulm.jobs.draft_bucket_list import draft_of
from haulm.jobs.keep_yours import YOURS, broken_lines, told_lines

_LISTS_BACK = 3


def follow_week(desk: Desk, actor: str) -> bool:
    """Write down what is theirs of the list of this week, where it is not what was written last; whether it was.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    plan = desk.plan()
    day = last_of(plan.today, (plan.farm.site.bucket_day,))
    draft, told = draft_of(desk, plan, day), told_lines(desk.store, day)
    rows: list[dict[str, Any]] = []
    for bucket in draft.lines:
        before = told.get((bucket.line.line, bucket.line.due))
        if before is None or (before["yours"], before["stems"]) != (bucket.yours, bucket.line.stems):
            asked = asked_in_words(asked_of(bucket.line), plan.crops)
            fell = before is not None and bucket.yours < min(int(before["yours"]), bucket.line.stems)
            rows.append(_row(bucket, asked) | ({"was": before["yours"]} if before is not None and fell else {}))
    if not rows:
        return False
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        if work.farm.version != plan.farm.version:
            return False  # somebody wrote meanwhile: the next look sees that too
        work.enter(YOURS, subject_of(day), {"lines": rows})
        work.save()
    return True


def to_ring(desk: Desk) -> Iterator[str]:
    """Whom to ring, in sentences: stems that were theirs and have become impossible, until they leave."""
    farm, today = desk.store.farm(), desk.today()
    names = {customer.key: customer.name for customer in farm.customers}
    for row in broken_lines(desk.store, last_of(today, (farm.site.bucket_day,))):
        due = date.fromisoformat(row["due"])
        if due >= today:
            name = names.get(row["customer"], row["customer"])
            yield f"Ring {name}: of {row['was']} {row['asked']} for {day_in_words(due)}, {row['yours']} are there."


def not_told(desk: Desk) -> dict[date, list[tuple[str, date]]]:
    """Deliveries whose day is over and of which nobody wrote what left, by bucket day: customer and due date."""
    farm, today = desk.store.farm(), desk.today()
    first = last_of(today, (farm.site.bucket_day,))
    days = [first - timedelta(weeks=back) for back in range(_LISTS_BACK)]
    settled = settled_deliveries(desk.store.entries_of(*OF_SETTLED))
    standing = {(line.line, line.due) for line in demand(farm, days[-1])}
    found: dict[date, list[tuple[str, date]]] = {}
    for day in reversed(days):
        open_ones = {
            (str(row["customer"]), due)
            for (line, due), row in told_lines(desk.store, day).items()
            if due < today and (row["order"], due) not in settled and (line, due) in standing
        }
        if open_ones:
            found[day] = sorted(open_ones, key=lambda one: (one[1], one[0]))
    return found


def to_ask(desk: Desk) -> Iterator[str]:
    """What nobody wrote down, as questions."""
    names = {customer.key: customer.name for customer in desk.store.farm().customers}
    for found in not_told(desk).values():
        for customer, due in found:
            yield f"What left for {names.get(customer, customer)} on {day_in_words(due)}? Nobody wrote it down."


def _row(bucket: BucketLine, asked: str) -> dict[str, Any]:
    line = bucket.line
    return {
        "line": line.line,
        "order": line.order,
        "customer": line.customer,
        "asked": asked,
        "due": line.due.isoformat(),
        "stems": line.stems,
        "yours": bucket.yours,
    }
