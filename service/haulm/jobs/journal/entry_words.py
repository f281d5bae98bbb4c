"""One entry of the journal in words: what happened, to what, and what it said before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from haulm.farm.snapshot import Farm
from haulm.farm.weeks import near_day_in_words
from haulm.jobs.farm.row_words import Names, changes_in_words, subject_in_words
from haulm.jobs.journal.kinds import KINDS, kind_in_words
from haulm.language.words import _, many, marked
from haulm.store.history import PROMISES, SITE, Step
from haulm.store.journal import Entry

MOST_ROWS = 12
"""So many rows of one step are told one by one."""
_WHO: Mapping[str, str] = {
    "owner": marked("the grower"),
    "hand": marked("whoever works in the field"),
    "program": marked("the program"),
    "clock": marked("the service, at its hour"),
}


@dataclass(frozen=True, slots=True)
class Told:
    """A step in words.

    Attributes:
        what: what happened, in a few words.
        about: what it is about; empty where that is the farm as a whole.
        rows: what it made of each row: `Batch of zinnia: sown 3 May -> 5 May`.
        who: who did it, by role.
        when: when, on the farm's clock: `Tue 1 Jun, 18:04`.
    """

    what: str
    about: str
    rows: tuple[str, ...]
    who: str
    when: str

    @property
    def sentence(self) -> str:
        """The step in one line, as somebody refers to it: `Stems held, Quillbeck's wedding (Tue 1 Jun, 18:04)`."""
        about = f", {self.about}" if self.about else ""
        return f"{self.what}{about} ({self.when})"


def told(farm: Farm, names: Names, step: Step) -> Told:
    """A step as people read it."""
    entry = principal(step)
    return Told(
        what=kind_in_words(entry.kind),
        about=subject_in_words(names, entry.subject),
        rows=tuple(_rows(names, step)),
        who=_who(names, entry.actor),
        when=moment_in_words(farm, entry.at_utc),
    )


def principal(step: Step) -> Entry:
    """The entry that says what a step was: the first that is no note of the service's own, else the first."""
    loud = (entry for entry in step.entries if entry.kind in KINDS and not KINDS[entry.kind].is_quiet)
    return next(loud, step.entries[0])


def moment_in_words(farm: Farm, at: datetime) -> str:
    """A moment on the farm's clock: `Tue 1 Jun, 18:04`."""
    local = at.astimezone(ZoneInfo(farm.site.timezone))
    return f"{near_day_in_words(local.date())}, {local:%H:%M}"


def day_of(farm: Farm, at: datetime) -> date:
    """The farm's day of a moment."""
    return at.astimezone(ZoneInfo(farm.site.timezone)).date()


def _who(names: Names, actor: str) -> str:
    role, _colon, key = actor.partition(":")
    if role == "florist" and key:
        return names.customer(key)
    return _(_WHO[role]) if role in _WHO else role


def _rows(names: Names, step: Step) -> Iterator[str]:
    changed = [(thing, write) for thing, write in step.writes.items() if write.before != write.after]
    written = [(thing, write) for thing, write in changed if thing[0] != PROMISES]
    for thing, write in written[:MOST_ROWS]:
        if thing[0] == SITE:
            yield _("The farm's settings")
        else:
            yield changes_in_words(names, thing, write)
    if len(written) > MOST_ROWS:
        yield many("and {count} row more", "and {count} rows more", len(written) - MOST_ROWS)
