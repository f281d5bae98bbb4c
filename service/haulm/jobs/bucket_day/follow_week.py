"""Follow the week's list after every write: what is theirs is written down, and who has to be rung is told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from haulm.advice.asked_words import asked_in_words
from haulm.demand.precedence import demand
from haulm.farm.weeks import day_in_words, last_of
from haulm.jobs.bucket_day.confirmed_lists import OF_SETTLED, settled_deliveries, settled_of
from haulm.jobs.bucket_day.draft_bucket_list import draft_of
from haulm.jobs.bucket_day.keep_yours import keep_yours, told_lines, untold
from haulm.jobs.bucket_day.told_letters import stems_written
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.planning.keeping import crops_of

_LISTS_BACK = 3


def follow_week(desk: Desk, actor: str) -> bool:
    """Write down what is theirs of the list of this week, where it is not what was written last; whether it was.

    Raises:
        FarmEmpty: nothing was imported yet.
    """
    plan = desk.plan()
    day = last_of(plan.today, (plan.farm.site.bucket_day,))
    rows = untold(draft_of(desk, plan, day), plan.crops, told_lines(desk.store, day))
    if not rows:
        return False
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        if work.farm.version != plan.farm.version:
            return False  # somebody wrote meanwhile: the next look sees that too
        keep_yours(work, day, rows)
        work.save()
    return True


def to_ring(desk: Desk) -> Iterator[str]:
    """Whom to ring, in sentences, until the stems leave: what was theirs, or was written to them, and is there no more.

    A line that is settled has the stems that are packed; one that is expected those that are theirs by now.
    """
    farm, today = desk.store.farm(), desk.today()
    names, crops = {customer.key: customer.name for customer in farm.customers}, crops_of(farm)
    day = last_of(today, (farm.site.bucket_day,))
    told, written = told_lines(desk.store, day), stems_written(desk.store, day)
    found = {key: row for key, row in told.items() if "was" in row and row["was"] > row["yours"]}
    for one in settled_of(desk, day):
        for line in one.lines:
            key, there = (str(line["line"]), one.due), int(line["filled"])
            theirs = int(told[key]["yours"]) if key in told else 0
            was = max(theirs, written.get(key, 0), int(found.pop(key, {}).get("was", 0)))
            was = min(was, int(line["asked"]))
            if there < was and not one.has_left:
                asked = asked_in_words(line["product"] or line["choice"], crops)
                found[key] = {"customer": one.customer, "asked": asked, "was": was, "yours": there}
    for (_line, due), row in found.items():
        if due >= today:
            name = names.get(row["customer"], row["customer"])
            yield _("Ring {name}: of {was} {asked} for {due}, {yours} are there.").format(
                name=name, was=row["was"], asked=row["asked"], due=day_in_words(due), yours=row["yours"]
            )


def not_told(desk: Desk) -> dict[date, list[tuple[str, date]]]:
    """Deliveries whose day is over and of which nobody wrote what left, by bucket day: customer and due date."""
    farm, today = desk.store.farm(), desk.today()
    first = last_of(today, (farm.site.bucket_day,))
    days = [first - timedelta(weeks=back) for back in range(_LISTS_BACK)]
    settled = settled_deliveries(desk.store.entries_of(*OF_SETTLED))
    waiting = {
        day: {
            key: str(row["customer"])
            for key, row in told_lines(desk.store, day).items()
            if key[1] < today and (row["order"], key[1]) not in settled
        }
        for day in reversed(days)
    }
    if not any(waiting.values()):
        return {}
    standing = {(line.line, line.due) for line in demand(farm, days[-1])}
    found = {
        day: {(key[1], customer) for key, customer in lines.items() if key in standing}
        for day, lines in waiting.items()
    }
    return {day: [(customer, due) for due, customer in sorted(rows)] for day, rows in found.items() if rows}


def to_ask(desk: Desk) -> Iterator[str]:
    """What nobody wrote down, as questions."""
    names = {customer.key: customer.name for customer in desk.store.farm().customers}
    for found in not_told(desk).values():
        for customer, due in found:
            yield _("What left for {name} on {due}? Nobody wrote it down.").format(
                name=names.get(customer, customer), due=day_in_words(due)
            )
