"""The farm's days for a calendar, from sowing to days to decide; nobody's name in it, and no key of an order.

The feed is read by programs that cannot log in, so its address holds a token of its own. Only a digest of the token is
kept, as an entry; a new link or a revocation makes the old address useless.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haulm.advice.asked_words import asked_in_words
from haulm.errors import HaulmError
from haulm.farm.weeks import weeks_in_words
from haulm.farm.words import Form, LineClass, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.list_jobs import FarmJobs, gap_jobs
from haulm.jobs.gaps.standing_gaps import dated_gaps, days_written
from haulm.jobs.growing.batch_forecast import cutting_days_of
from haulm.jobs.growing.due_work import field_work, hold_in_words, order_in_words, sown_in_words
from haulm.planning.plan import Plan
from haulm.store.unit_of_work import UnitOfWork

LINK, SUBJECT = "calendar-link", "calendar"
_TOKEN_BYTES = 24
_ALIVE = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
_MORE_THAN_NOT = 0.5


class LinkNotValid(HaulmError):
    """The address of the calendar is not, or no longer, valid."""

    code = "link-not-valid"

    def __init__(self) -> None:
        super().__init__("This calendar address is not valid any more: make a new one on the farm's own computer.")


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """One all-day event; `uid` stays the same when its day moves. `last` is its last day, where it has several."""

    uid: str
    day: date
    summary: str
    last: date | None = None

    @property
    def end(self) -> date:
        """Its last day."""
        return self.day if self.last is None else self.last


@dataclass(frozen=True, slots=True)
class FarmDays:
    """The events, and a number of the state they are of: it never falls, and rises with every change."""

    version: int
    days: tuple[CalendarDay, ...]


def list_calendar(desk: Desk, token: str) -> FarmDays:
    """The farm's days from today on, for whoever has the link; a span of days stands until its last has passed.

    Raises:
        LinkNotValid: the token is not that of the link that stands.
    """
    entry = desk.store.last_entry(LINK, SUBJECT)
    known = "" if entry is None else str(entry.facts.get("digest") or "")
    if not known or not hmac.compare_digest(known, _digest(token)):
        raise LinkNotValid
    plan = desk.plan()
    found = [*_field_days(plan), *_cut_windows(plan), *_deliveries(plan), *_order_days(plan), *_decisions(desk, plan)]
    standing = (one for one in found if one.end >= plan.today)
    return FarmDays(plan.farm.version + days_written(desk), tuple(sorted(standing, key=lambda one: (one.day, one.uid))))


def new_token() -> str:
    """What nobody can guess."""
    return secrets.token_urlsafe(_TOKEN_BYTES)


def make_calendar_link(work: UnitOfWork, token: str) -> None:
    """From now on the calendar opens to a token, to be told once; the one before is worth nothing."""
    work.enter(LINK, SUBJECT, {"digest": _digest(token)})


def revoke_calendar_link(work: UnitOfWork) -> None:
    """No link is valid until a new one is made."""
    work.enter(LINK, SUBJECT, {"digest": None})


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _field_days(plan: Plan) -> Iterator[CalendarDay]:
    for found in field_work(plan):
        yield CalendarDay(f"{found.work}-{found.about}", found.day, found.sentence, found.last)


def _cut_windows(plan: Plan) -> Iterator[CalendarDay]:
    """From the first to the last ready stem of each batch that gives stems in more seasons than not: middling days."""
    for batch in plan.growth.seen.batches:
        found = None if batch.is_over else cutting_days_of(plan, batch.key)
        if found is None or not found[2] > _MORE_THAN_NOT:
            continue
        first, last, _ = found
        verb = "Dried stems ready" if batch.form is Form.DRIED else "Cut"
        summary = f"{verb}, as forecast: {sown_in_words(batch, plan.crops[batch.variety])}"
        yield CalendarDay(f"cut-{batch.key}", first, summary, last)


def _deliveries(plan: Plan) -> Iterator[CalendarDay]:
    stems: dict[date, int] = {}
    for line in plan.result.lines:
        if line.line_class not in (LineClass.SPARE, LineClass.HOLD):
            stems[line.due] = stems.get(line.due, 0) + line.stems
    for day, count in stems.items():
        yield CalendarDay(f"deliver-{day}", day, f"Stems leave: {count} asked")


def _order_days(plan: Plan) -> Iterator[CalendarDay]:
    """Final numbers and ends of holds; an order is told by its kind and day, never by its key or its customer."""
    for order in plan.farm.orders:
        known = _anonymous(order.key)
        if order.final_numbers_date is not None and order.status in _ALIVE:
            day = order.final_numbers_date
            yield CalendarDay(f"final-{known}", day, f"Final numbers are due for {order_in_words(order)}")
        if order.hold_until is not None and order.status is OrderStatus.ON_HOLD:
            yield CalendarDay(f"hold-{known}", order.hold_until, hold_in_words(order))


def _anonymous(key: str) -> str:
    """A name for an order that stays the same and does not say its key."""
    return hashlib.sha256(f"order {key}".encode()).hexdigest()[:20]


def _decisions(desk: Desk, plan: Plan) -> Iterator[CalendarDay]:
    """The day to act for each gap, with the job that is for it; a gap that another's job closes says so."""
    standing = dated_gaps(desk, plan)
    jobs = FarmJobs(gap_jobs(desk, plan, standing), ())
    for found in standing:
        if found.decide_by is None:
            continue
        gap, job = found.gap, jobs.of_gap(found.gap.key)
        short = f"{asked_in_words(gap.asked, plan.crops)} is short, {weeks_in_words(gap.weeks)}"
        if job is None or job.gap.gap.key != gap.key:
            said = f"Decide: {short}" if job is None else f"{short}; closed by what is to be done by {job.act_by}"
        else:
            said = job.sentence.rstrip(".")
        yield CalendarDay(f"decide-{gap.key}", found.decide_by, said)
