"""The farm's days for a calendar: sowing, planting out, deliveries and days to decide; nobody's name in it.

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

from haulm.advice.room import plant_out_day
from haulm.errors import HaulmError
from haulm.farm.words import BatchStatus, LineClass, Method
from haulm.jobs.close_gap import list_shortfalls
from haulm.jobs.desk import Desk
from haulm.planning.plan import Plan

LINK, SUBJECT = "calendar-link", "calendar"
_TOKEN_BYTES = 24
_WAITING = (BatchStatus.PLANNED, BatchStatus.SOWN)
_FROM_TRAYS = (Method.HEATED, Method.COVER)


class LinkNotValid(HaulmError):
    """The address of the calendar is not, or no longer, valid."""

    code = "link-not-valid"

    def __init__(self) -> None:
        super().__init__("This calendar address is not valid any more: make a new one on the farm's own computer.")


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """One all-day event; `uid` stays the same when its day moves."""

    uid: str
    day: date
    summary: str


def list_calendar(desk: Desk, token: str) -> tuple[CalendarDay, ...]:
    """The farm's days from today on, for whoever has the link.

    Raises:
        LinkNotValid: the token is not that of the link that stands.
    """
    entry = desk.store.last_entry(LINK, SUBJECT)
    known = "" if entry is None else str(entry.facts.get("digest") or "")
    if not known or not hmac.compare_digest(known, _digest(token)):
        raise LinkNotValid
    plan = desk.plan()
    days = [*_field_days(plan), *_deliveries(plan), *_decisions(desk)]
    return tuple(sorted((found for found in days if found.day >= plan.today), key=lambda found: (found.day, found.uid)))


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
        if batch.status is BatchStatus.PLANNED:
            yield CalendarDay(f"sow-{batch.key}", batch.sow_date, f"Sow {crop.name} ({batch.method}), {batch.key}")
        if batch.method in _FROM_TRAYS:
            day = plant_out_day(batch, crop, batch.sow_date)
            yield CalendarDay(f"plant-{batch.key}", day, f"Plant out {crop.name}, {batch.key}")


def _deliveries(plan: Plan) -> Iterator[CalendarDay]:
    stems: dict[date, int] = {}
    for line in plan.result.lines:
        if line.line_class not in (LineClass.SPARE, LineClass.HOLD):
            stems[line.due] = stems.get(line.due, 0) + line.stems
    for day, count in stems.items():
        yield CalendarDay(f"deliver-{day}", day, f"Stems leave: {count} asked")


def _decisions(desk: Desk) -> Iterator[CalendarDay]:
    for found in list_shortfalls(desk):
        gap = found.gap
        summary = f"Decide: {gap.asked} is short in {gap.weeks[0]}"
        yield CalendarDay(f"decide-{gap.key}", found.decide_by, summary)
