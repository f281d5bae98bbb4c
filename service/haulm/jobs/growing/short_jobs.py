"""Jobs in few words: what is done on one day is one sentence, with its names, with counts, or with its days alone.

A job that closes gaps and work on the farm are the same here: what to do, to what, and when.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from haulm.farm.weeks import near_day_in_words
from haulm.language.days import short_day
from haulm.language.words import _, marked

_NAME = "{}"


class Sort(StrEnum):
    """Sorts of jobs, as they are counted: `3 to sow`; in the order in which a day is told."""

    ORDER = marked("to order")
    SOW = marked("to sow")
    PLANT = marked("to plant")
    ASK = marked("to ask")
    FIELD = marked("to see to in the field")
    POT = marked("to pot on")
    HARDEN = marked("to harden off")
    HOLD = marked("to hold or let go")


@dataclass(frozen=True, slots=True)
class ShortJob:
    """A job in few words.

    Attributes:
        day: its day, or the last day for it.
        sort: its sort.
        does: what to do, with a place for the name: `sow {} under cover`; without one it says all.
        what: to what, and how much of it: `Ammi (40 places)`.
        name: the same without how much: `Ammi`.
    """

    day: date
    sort: Sort
    does: str
    what: str = ""
    name: str = ""


def listed(names: Iterable[str]) -> str:
    """Names as people list them, each once: `cosmos, zinnia and ammi`."""
    found = list(dict.fromkeys(names))
    if len(found) == 1:
        return found[0]
    return _("{first} and {last}").format(first=", ".join(found[:-1]), last=found[-1])


def in_place(does: str, what: str) -> str:
    """What to do to what: `sow Ammi under cover`."""
    return does.replace(_NAME, what, 1)


def named(jobs: Iterable[ShortJob]) -> str:
    """Jobs of a day: what is done alike is said once: `sow Ammi (20 places) and Zinnia (one tray) under cover`."""
    return "; ".join(alike((job.sort, job.does, job.what) for job in jobs))


def barely_named(jobs: Iterable[ShortJob]) -> str:
    """The same without how much of it, and for whom: `sow Ammi and Zinnia under cover; order seed of Cosmos`."""
    return "; ".join(alike((job.sort, job.does, job.name or job.what) for job in jobs))


def alike(jobs: Iterable[tuple[Sort, str, str]]) -> list[str]:
    """Jobs as their sort, what to do, and to what; what is done alike is said once."""
    found: dict[tuple[Sort, str], list[str]] = {}
    for sort, does, what in sorted(jobs, key=lambda one: list(Sort).index(one[0])):
        found.setdefault((sort, does), []).append(what)
    return [in_place(does, listed(whats)) for (_sort, does), whats in found.items()]


def with_days(days: Mapping[date, Sequence[ShortJob]]) -> str:
    """Jobs of several days in one sentence: `by Mon 14 Jun sow Ammi, and order seed of Cosmos; by Thu 17 Jun ...`."""
    said = {day: alike((job.sort, job.does, job.what) for job in jobs) for day, jobs in days.items()}
    return "; ".join(
        _("by {day} {parts}").format(day=near_day_in_words(day), parts=_(", and ").join(parts))
        for day, parts in said.items()
    )


def counted(jobs: Sequence[ShortJob]) -> str:
    """Jobs of a day by their number: `2 to sow, 1 to plant`."""
    counts = {sort: sum(job.sort is sort for job in jobs) for sort in Sort}
    return ", ".join(f"{count} {_(sort)}" for sort, count in counts.items() if count)


def by_day(jobs: Iterable[ShortJob]) -> dict[date, list[ShortJob]]:
    """Jobs by their day, the first day first."""
    found: dict[date, list[ShortJob]] = {}
    for job in sorted(jobs, key=lambda one: one.day):
        found.setdefault(job.day, []).append(job)
    return found


def sorts_with_days(jobs: Sequence[ShortJob], today: date) -> list[str]:
    """Each sort with its number and its days: `5 to sow: 14, 15 and 21 Jun.`; what is past is said to be late."""
    said = []
    for sort in Sort:
        days = [job.day for job in jobs if job.sort is sort]
        late = [_("late")] if any(day < today for day in days) else []
        ahead = sorted({day for day in days if day >= today})
        if days:
            said.append(f"{len(days)} {_(sort)}: {listed([*late, *_days(ahead)])}.")
    return said


def _days(days: Sequence[date]) -> list[str]:
    """Days with each month once: `28`, `30 Jun`, `1 Jul`."""
    ends = {max(day for day in days if day.month == month) for month in {day.month for day in days}}
    return [short_day(day) if day in ends else str(day.day) for day in days]
