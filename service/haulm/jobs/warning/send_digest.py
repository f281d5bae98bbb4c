"""The early warning as a letter: on the farm's days, and at once when something grave is new; nothing told twice."""

from __future__ import annotations

from datetime import date
from typing import Any

from haulm.farm.words import Weekday
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.no_more_mail import farm_wants_no_mail
from haulm.jobs.gaps.follow_jobs import are_jobs_worked_out
from haulm.jobs.gaps.standing_gaps import DatedGap, dated_gaps
from haulm.jobs.warning.digest_text import FOOT, digest_text
from haulm.jobs.warning.told_gaps import ToldLetter, told_before
from haulm.jobs.warning.warn_early import Alert, Digest, digest_of, is_grave, telling_gaps, warn_early
from haulm.store.outbox import Letter
from haulm.store.unit_of_work import UnitOfWork

SENT, SUBJECT = "digest-sent", "digest"
DIGEST = "digest"


def last_letter(desk: Desk) -> ToldLetter:
    """What the last letter told."""
    entry = desk.store.last_entry(SENT, SUBJECT)
    return ToldLetter() if entry is None else ToldLetter.of(entry.facts)


def send_digest(desk: Desk, actor: str) -> Digest:
    """Queue today's letter to the farm, with what has changed since the one before; once a day."""
    day = desk.today()
    return _written(desk, actor, f"digest/{day}", is_weekly=_is_weekly(desk, day), is_asked=True)


def send_due_digest(desk: Desk, actor: str, due: date) -> None:
    """Queue the letter of a day on which one is due, late where the day was missed; nothing where none is wanted.

    Where nothing is new there is none, but on the farm's day of the week for a short one.
    """
    if not farm_wants_no_mail(desk):
        _written(desk, actor, f"digest/{due}", is_weekly=_is_weekly(desk, due), is_asked=False)


def grave_news(desk: Desk) -> tuple[DatedGap, ...]:
    """The gaps that are grave and were in no letter, once all days are worked out for the farm as it is now."""
    if not are_jobs_worked_out(desk):
        return ()
    plan, last = desk.plan(), last_letter(desk)
    known = {**last.gaps, **last.counted}
    telling = telling_gaps(plan, dated_gaps(desk, plan))
    return tuple(dated for dated in telling if is_grave(plan, dated) and told_before(dated, known) is None)


def send_grave_news(desk: Desk, actor: str) -> bool:
    """Queue a letter at once where something grave is new; it counts as told from then on."""
    news = () if farm_wants_no_mail(desk) else grave_news(desk)
    if not news:
        return False
    keys = "+".join(sorted(dated.gap.key for dated in news))
    _written(desk, actor, f"digest/{desk.today()}/grave/{keys}", is_weekly=False, is_asked=False)
    return True


def digest_facts(found: Digest) -> dict[str, Any]:
    """The letter's facts, frozen; no names of customers."""
    said: dict[str, list[dict[str, Any]]] = {}
    for one in found.body.paragraphs:
        said.setdefault(one.section, []).append({"text": one.text, "gaps": list(one.gaps), "lead": one.lead})
    sections = [{"title": title, "items": items} for title, items in said.items()]
    return {
        "farm": found.farm,
        "day": found.day.isoformat(),
        "levels": found.levels,
        "text": digest_text(found),
        "opening": list(found.opening),
        "sections": sections,
        "more_words": found.body.more,
        "foot": [found.judged, FOOT],
        "gaps": [_gap(alert) for alert in found.alerts],
        "more": found.more_gaps,
        "is_news": found.is_news,
        "forecast_missing": found.forecast_missing,
    }


def _is_weekly(desk: Desk, day: date) -> bool:
    return Weekday.of(day) is desk.store.farm().site.short_letter_day


def _written(desk: Desk, actor: str, key: str, *, is_weekly: bool, is_asked: bool) -> Digest:
    """Queue a letter and enter what it tells, both of one version; nothing where nothing is new, unless it is asked."""
    found = warn_early(desk, last_letter(desk), is_weekly=is_weekly)
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        if work.farm.version != found.version:  # somebody wrote meanwhile: the letter tells what it is entered with
            found = digest_of(desk, desk.plan_of(work.farm), last_letter(desk), is_weekly=is_weekly)
        if found.is_news or is_weekly or is_asked:
            _send(work, found, key)
        work.save()
    return found


def _send(work: UnitOfWork, found: Digest, key: str) -> None:
    if not work.send(Letter(DIGEST, None, digest_facts(found), key)):
        return
    told = {
        "day": found.day.isoformat(),
        "version": found.version,
        "gaps": {name: gap.facts() for name, gap in found.told.items()},
        "counted": {name: gap.facts() for name, gap in found.counted.items()},
        "tokens": sorted(found.tokens),
    }
    work.enter(SENT, SUBJECT, told)


def _gap(alert: Alert) -> dict[str, Any]:
    return {
        "gap": alert.gap.key,
        "asked": alert.asked,
        "weeks": [str(week) for week in alert.gap.weeks],
        "confidence": round(alert.gap.confidence, 4),
        "decide_by": None if alert.decide_by is None else alert.decide_by.isoformat(),
        "change": str(alert.change),
        "grave": alert.is_grave,
    }
