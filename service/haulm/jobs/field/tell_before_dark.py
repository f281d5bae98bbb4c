"""Send the farm what to cut before dark, as a letter of its own, when somebody taps for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haulm.jobs.desk.seen import strong_hash
from haulm.jobs.field.cut_before_dark import BeforeDark, before_dark_lines
from haulm.store.outbox import Letter
from haulm.store.unit_of_work import UnitOfWork

BEFORE_DARK = "before-dark"
TOLD = "before-dark-told"


def tell_before_dark(work: UnitOfWork, found: BeforeDark) -> None:
    """Queue the letter, unless the last one of the day says the same already: the last one is always right."""
    facts, subject = before_dark_facts(found), f"days/{found.day}"
    said = strong_hash(facts)
    last = work.last_entry(TOLD, subject)
    # Not by the farm's version: the entry of a letter raises it, and a second tap would send the same letter again.
    if last is not None and last.facts.get("said") == said:
        return
    key = f"{BEFORE_DARK}/{found.day}/{found.threat}/{found.min_c or 0:g}/{work.farm.version}"
    if work.send(Letter(BEFORE_DARK, None, facts, key)):
        work.enter(TOLD, subject, {"threat": str(found.threat), "min_c": found.min_c, "said": said})


def before_dark_facts(found: BeforeDark) -> Mapping[str, Any]:
    """What the letter says; nobody's name is in it."""
    return {
        "farm": found.farm,
        "day": found.day.isoformat(),
        "head": found.head,
        "parts": [{"title": part.title, "lines": list(part.lines)} for part in before_dark_lines(found)],
    }
