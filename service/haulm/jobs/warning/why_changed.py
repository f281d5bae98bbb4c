"""Why something is not as it was told: what was written down since, and the day."""

from __future__ import annotations

from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.short_jobs import listed
from haulm.jobs.promises.follow_floors import causes_of
from haulm.jobs.warning.told_gaps import ToldLetter
from haulm.language.words import _, marked

THE_DATE = marked("the date")


def why_changed(desk: Desk, told: ToldLetter) -> str:
    """What changed since a letter, as people list it: `records and the weather`; the date where nothing was written."""
    causes = [] if told.version is None else list(dict.fromkeys(causes_of(desk.store.entries_since(told.version))))
    return listed(_(cause) for cause in causes or [THE_DATE])
