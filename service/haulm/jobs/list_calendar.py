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
from datetime import date, timedelta

from haulm.advice.asked_words import asked_in_words
from haulm.advice.room import plant_out_day
from haulm.errors import HaulmError
from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, LineClass, OrderStatus
from haulm.jobs.batch_forecast import cutting_days_of
from haulm.jobs.close_gap import list_shortfalls
from haulm.jobs.desk import Desk
from haulm.jobs.label_sowings import FROM_TRAYS, germination_window
from haulm.jobs.standing_gaps import days_written
from haulm.planning.plan import Plan

LINK, SUBJECT = "calendar-link", "calendar"
_TOKEN_BYTES = 24
_WAITING = (BatchStatus.PLANNED, BatchStatus.SOWN)
_ALIVE = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
_WORTH_POTTING = timedelta(weeks=3)
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
    found = [*_field_days(plan), *_cut_windows(plan), *_deliveries(plan), *_order_days(plan), *_decisions(desk)]
    standing = (one for one in found if one.end >= plan.today)
    return FarmDays(plan.farm.version + days_written(desk), tuple(sorted(standing, key=lambda one: (one.day, one.uid))))


def make_calendar_link(desk: Desk, actor: str) -> str:
    """A new token, told once; the one before is worth nothing from now on."""
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    _write(desk, actor, _digest(token))
    return token


def revoke_calendar_link(desk: Desk, actor: str) -> None:
    """No link is valid until a new one is made."""
    _write(desk, actor, None)


def _write(desk: Desk, actor: str, digest: str | None) -> None:
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        work.enter(LINK, SUBJECT, {"digest": digest})
        work.save()


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _field_days(plan: Plan) -> Iterator[CalendarDay]:
    for batch in plan.growth.seen.batches:
        if batch.sow_date is None or batch.status not in _WAITING:
            continue
        crop = plan.crops[batch.variety]
        what = f"{crop.name}, {batch.key}"
        if batch.status is BatchStatus.PLANNED:
            yield CalendarDay(f"sow-{batch.key}", batch.sow_date, f"Sow {crop.name} ({batch.method}), {batch.key}")
        if batch.method in FROM_TRAYS:
            yield from tray_days(batch, crop, what)


def tray_days(batch: Batch, crop: Crop, what: str) -> Iterator[CalendarDay]:
    """From the tray into the ground.

    Source: potting on half way between coming up and planting out, where that is three weeks or more, is from memory;
    hardening takes the crop's days.
    """
    assert batch.sow_date is not None, "only dated batches have days"
    planted = plant_out_day(batch, crop, batch.sow_date)
    up = germination_window(batch, crop, batch.sow_date).usual
    if planted - up >= _WORTH_POTTING:
        yield CalendarDay(f"pot-{batch.key}", up + (planted - up) / 2, f"Pot on if roots fill the cells: {what}")
    if crop.harden_days and planted - timedelta(days=crop.harden_days) > batch.sow_date:
        hardening = planted - timedelta(days=crop.harden_days)
        yield CalendarDay(f"harden-{batch.key}", hardening, f"Harden off {what}", planted - timedelta(days=1))
    yield CalendarDay(f"plant-{batch.key}", planted, f"Plant out {what}")


def _cut_windows(plan: Plan) -> Iterator[CalendarDay]:
    """From the first to the last ready stem of each batch that gives stems in more seasons than not: middling days."""
    for batch in plan.growth.seen.batches:
        found = None if batch.is_over else cutting_days_of(plan, batch.key)
        if found is None or not found[2] > _MORE_THAN_NOT:
            continue
        first, last, _ = found
        verb = "Dried stems ready" if batch.form is Form.DRIED else "Cut"
        summary = f"{verb}, as forecast: {plan.crops[batch.variety].name}, {batch.key}"
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
        what = f"{str(order.kind).replace('_', '-')}, stems leave {order.due_date}"
        if order.final_numbers_date is not None and order.status in _ALIVE:
            yield CalendarDay(f"final-{known}", order.final_numbers_date, f"Final numbers are due: {what}")
        if order.hold_until is not None and order.status is OrderStatus.ON_HOLD:
            yield CalendarDay(f"hold-{known}", order.hold_until, f"Last day of the hold: {what}")


def _anonymous(key: str) -> str:
    """A name for an order that stays the same and does not say its key."""
    return hashlib.sha256(f"order {key}".encode()).hexdigest()[:20]


def _decisions(desk: Desk) -> Iterator[CalendarDay]:
    for found in list_shortfalls(desk):
        if found.decide_by is None:
            continue
        gap = found.gap
        summary = f"Decide: {asked_in_words(gap.asked, desk.plan().crops)} is short in {gap.weeks[0]}"
        yield CalendarDay(f"decide-{gap.key}", found.decide_by, summary)
