"""Send the farm what to cut before dark, as a letter of its own, when somebody taps for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from haulm.jobs.field.cut_before_dark import BeforeDark, before_dark_lines
from haulm.store.outbox import Letter
from haulm.store.unit_of_work import UnitOfWork

BEFORE_DARK = "before-dark"
TOLD = "before-dark-told"


def tell_before_dark(work: UnitOfWork, found: BeforeDark) -> None:
    """Queue the letter; told once more where the farm has changed since, so that the last one is right."""
    key = f"{BEFORE_DARK}/{found.day}/{found.threat}/{found.min_c or 0:g}/{work.farm.version}"
    if work.send(Letter(BEFORE_DARK, None, before_dark_facts(found), key)):
        work.enter(TOLD, f"days/{found.day}", {"threat": str(found.threat), "min_c": found.min_c})


def before_dark_facts(found: BeforeDark) -> Mapping[str, Any]:
    """What the letter says; nobody's name is in it."""
    return {
        "farm": found.farm,
        "day": found.day.isoformat(),
        "head": found.head,
        "parts": [{"title": part.title, "lines": list(part.lines)} for part in before_dark_lines(found)],
    }
