"""The early warning as a letter: on the farm's days, and at once when something grave is new; nothing told twice."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from haulm.advice.asked_words import asked_in_words
from haulm.farm.weeks import Week
from haulm.jobs.desk import Desk
from haulm.jobs.digest_text import digest_text, missing_sentence, unnamed_sentence
from haulm.jobs.follow_gaps import is_worked_out
from haulm.jobs.no_more_mail import farm_wants_no_mail
from haulm.jobs.standing_gaps import DatedGap, dated_gaps
from haulm.jobs.told_gaps import Told, ToldGap, told_before
from haulm.jobs.warn_early import Alert, Digest, is_grave, telling_gaps, warn_early
from haulm.store.outbox import Letter
from haulm.store.unit_of_work import UnitOfWork

SENT, SUBJECT = "digest-sent", "digest"
DIGEST = "digest"


def gaps_told(desk: Desk) -> Told:
    """Every gap as the last letter told it."""
    entry = desk.store.last_entry(SENT, SUBJECT)
    return {} if entry is None else _told(entry.facts["gaps"])


def send_digest(desk: Desk, actor: str) -> Digest:
    """Queue today's letter to the farm, with what has changed since the one before; once a day."""
    return _written(desk, actor, desk.today())


def send_due_digest(desk: Desk, actor: str, due: date) -> None:
    """Queue the letter of a day on which one is due, late where the day was missed; nothing where none is wanted."""
    if not farm_wants_no_mail(desk):
        _written(desk, actor, due)


def grave_news(desk: Desk) -> tuple[DatedGap, ...]:
    """The gaps that are grave and were in no letter, once all days are worked out for the farm as it is now."""
    if not is_worked_out(desk):
        return ()
    plan = desk.plan()
    entry = desk.store.last_entry(SENT, SUBJECT)
    known = {} if entry is None else _told({**entry.facts["gaps"], **entry.facts["counted"]})
    telling = telling_gaps(plan, dated_gaps(desk, plan))
    return tuple(dated for dated in telling if is_grave(plan, dated) and told_before(dated, known) is None)


def send_grave_news(desk: Desk, actor: str) -> bool:
    """Queue a letter at once where something grave is new; it counts as told from then on."""
    news = () if farm_wants_no_mail(desk) else grave_news(desk)
    if not news:
        return False
    found = warn_early(desk, gaps_told(desk))
    keys = "+".join(sorted(dated.gap.key for dated in news))
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        _send(desk, work, found, key=f"digest/{found.day}/grave/{keys}")
        work.save()
    return True


def digest_facts(found: Digest) -> dict[str, Any]:
    """The letter's facts, frozen; no names of customers."""
    return {
        "farm": found.farm,
        "day": found.day.isoformat(),
        "levels": found.levels,
        "text": digest_text(found),
        "gaps": [_gap(alert) for alert in found.alerts],
        "more": found.more_gaps,
        "closed": list(found.closed),
        "tasks": [{"day": task.day.isoformat(), "sentence": task.sentence} for task in found.tasks],
        "notes": list(found.notes),
        "forecast_missing": found.forecast_missing,
    }


def _written(desk: Desk, actor: str, due: date) -> Digest:
    found = warn_early(desk, gaps_told(desk))
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        _send(desk, work, found, key=f"digest/{due}")
        work.save()
    return found


def _send(desk: Desk, work: UnitOfWork, found: Digest, *, key: str) -> None:
    """Queue the letter and enter the gaps it told, and those that it only counted.

    What is as before keeps the figure that was told, so that a slow change is told in the end.
    """
    if not work.send(Letter(DIGEST, None, digest_facts(found), key)):
        return
    plan, before = desk.plan_of(work.farm), gaps_told(desk)
    shown = {alert.gap.key for alert in found.alerts if not alert.is_told}
    gaps: dict[str, Any] = {}
    counted: dict[str, Any] = {}
    for dated in telling_gaps(plan, dated_gaps(desk, plan)):
        gap = dated.gap
        known = told_before(dated, before)
        confidence = gap.confidence if known is None or gap.key in shown else before[known].confidence
        kept = counted if known is None and gap.key not in shown else gaps
        words = asked_in_words(gap.asked, plan.crops)
        grave = is_grave(plan, dated) if known is None or gap.key in shown else before[known].was_grave
        kept[gap.key] = [round(confidence, 4), words, str(gap.weeks[0]), str(gap.weeks[-1]), grave]
    work.enter(SENT, SUBJECT, {"day": found.day.isoformat(), "gaps": gaps, "counted": counted})


def _told(kept: Mapping[str, Any]) -> Told:
    return {
        key: ToldGap(float(confidence), str(words), Week.parse(first), Week.parse(last), bool(grave))
        for key, (confidence, words, first, last, grave) in kept.items()
    }


def _gap(alert: Alert) -> dict[str, Any]:
    return {
        "gap": alert.gap.key,
        "asked": alert.asked,
        "weeks": [str(week) for week in alert.gap.weeks],
        "missing": missing_sentence(alert.gap),
        "confidence": round(alert.gap.confidence, 4),
        "decide_by": None if alert.decide_by is None else alert.decide_by.isoformat(),
        "change": str(alert.change),
        "grave": alert.is_grave,
        "again": alert.is_told,
        "best": unnamed_sentence(alert.best, alert.asked),
        "after": None if alert.best is None or alert.best.after is None else round(alert.best.after.confidence, 4),
    }
