"""The lines of the early warning: what is said, how briefly it has to be, and what has to wait for the next letter."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

from haulm.farm.weeks import near_day_in_words
from haulm.jobs.growing.short_jobs import ShortJob, barely_named, by_day, counted, named, sorts_with_days, with_days

WIDTH = 76
_HELD = "\u00a0%"
"""A percent sign that stays with its number, until the lines are made."""
MOST_LINES = 15
"""Lines of news and jobs in one letter, as they are printed, with their titles; its head and its foot are apart."""
FIRST, WEEK, SHORT = "", "To do within a week", "About what is short"
WORK, WAITING = "Due on the farm", "Waiting for you"
SECTIONS = (FIRST, WEEK, SHORT, WORK, WAITING)


class Fold(IntEnum):
    """How briefly a letter says what it says.

    The farm's work is always gathered by its day. At first each thing about what is short has its own words; then its
    jobs of one day are one sentence, and those with time another; then the farm's work of a day is counted; or jobs
    about what is short have their bare names; or both; then all jobs of a day are counted; at last each sort of job has
    its number and its days.
    """

    OWN_WORDS = 0
    NAMED = 1
    WORK_COUNTED = 2
    BARE = 3
    BARE_AND_COUNTED = 4
    COUNTED = 5
    SORTS = 6

    @property
    def counts_work(self) -> bool:
        """Whether the farm's work is counted under a title of its own."""
        return self in (Fold.WORK_COUNTED, Fold.BARE_AND_COUNTED)

    @property
    def is_bare(self) -> bool:
        """Whether jobs about what is short have their names alone."""
        return self in (Fold.BARE, Fold.BARE_AND_COUNTED)


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that the letter says.

    Attributes:
        section: under which title it stands.
        text: what it says; of the farm's work, where it has a day, `job` alone is said.
        must: whether it is due within a week, and is never cut.
        gaps: the gaps it tells.
        tokens: what else it tells.
        missed: what it says of a day that has passed.
        is_news: whether no letter has told it.
        job: the job that it is, in few words; None where it is none.
        is_first: whether it comes before other news: a large gap that no letter has told, somebody to ring.
        brief: the same in fewer words; empty where there are none.
    """

    section: str
    text: str
    must: bool = False
    gaps: tuple[str, ...] = ()
    tokens: tuple[str, ...] = ()
    missed: str = ""
    is_news: bool = True
    job: ShortJob | None = None
    is_first: bool = False
    brief: str = ""

    def __post_init__(self) -> None:
        assert self.job is not None or not self.must, "what is due is a job, which can be said in few words"


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Some lines of the letter: what they say, the gaps that they tell, and the day that they begin with, if any."""

    section: str
    text: str
    gaps: tuple[str, ...] = ()
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Body:
    """What is between the head and the foot of the letter: what it says, how briefly, and how much was cut.

    Attributes:
        items: what it says, in the order given.
        cut: how many things have to wait for another letter.
        fold: how briefly it says them.
        today: the day of the letter.
    """

    items: tuple[Item, ...]
    cut: int = 0
    fold: Fold = Fold.OWN_WORDS
    today: date = date.min

    @property
    def paragraphs(self) -> tuple[Paragraph, ...]:
        """What it says, under its titles."""
        return tuple(one for section in SECTIONS for one in _SAID[section](self))

    @property
    def more(self) -> str:
        """Where the names of what is only counted stand, and how much was cut; empty where all is there."""
        names = "What is only counted stands by name on the pages Today and Short." if self.is_counted else ""
        cut = f"And {self.cut} more, on the pages Today and Short." if self.cut else ""
        return f"And {self.cut} more. {names}" if names and cut else names or cut

    @property
    def is_counted(self) -> bool:
        """Whether it counts jobs that it does not name."""
        sections = [SHORT, WORK] if self.fold >= Fold.COUNTED else [WORK] if self.fold.counts_work else []
        return any(item.must and item.job is not None and item.section in sections for item in self.items)

    @property
    def lines(self) -> list[str]:
        """It as it is printed, with the titles."""
        found, title = [], FIRST
        for one in self.paragraphs:
            if one.section != title:
                title = one.section
                found.append(f"{title}:")
            found += wrapped(one.text)
        return [*found, *wrapped(self.more)]

    def due(self, section: str) -> list[Item]:
        """The jobs under a title that are due within a week."""
        return [item for item in self.items if item.section == section and item.must and item.job is not None]

    def others(self, section: str) -> list[Item]:
        """What else stands under a title."""
        return [item for item in self.items if item.section == section and not (item.must and item.job is not None)]


def fitted(items: Sequence[Item], today: date, most: int = MOST_LINES) -> Body:
    """As much as fits, as fully as it fits; what is due within a week is never cut, but said more briefly.

    What comes first among the news comes before the names of the farm's own work as well.

    Args:
        items: what there is to say, what matters most first.
        today: the day of the letter.
        most: lines that it may take, with the titles and with the line that says what was cut.
    """
    every = range(len(items))
    first = [place for place in every if items[place].must or items[place].is_first]
    must = [place for place in every if items[place].must]
    tried = [
        *((fold, [*every]) for fold in (Fold.OWN_WORDS, Fold.NAMED)),
        *((fold, first) for fold in (Fold.NAMED, Fold.WORK_COUNTED)),
        *((fold, must) for fold in list(Fold)[1:]),
    ]
    for fold, kept in tried:
        if len(_body(items, kept, fold, today).lines) <= most:
            return _filled(items, kept, (fold, today), most)
    return _filled(items, must, (Fold.SORTS, today), most)


def wrapped(text: str, indent: str = "") -> list[str]:
    """A text as it is printed: lines of at most 76 characters, those after the first set in; `56 %` is one word."""
    lines = textwrap.wrap(
        text.replace(" %", _HELD),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(_HELD, " %") for line in lines]


def _filled(items: Sequence[Item], kept: Sequence[int], how: tuple[Fold, date], most: int) -> Body:
    """What was kept, by its place, and whatever else still fits, what comes first before the rest."""
    found, left = list(kept), [place for place in range(len(items)) if place not in kept]
    for place in sorted(left, key=lambda one: not items[one].is_first):
        if len(_body(items, [*found, place], *how).lines) <= most:
            found.append(place)
    return _body(items, found, *how)


def _body(items: Sequence[Item], kept: Sequence[int], fold: Fold, today: date) -> Body:
    return Body(tuple(items[place] for place in sorted(kept)), len(items) - len(kept), fold, today)


def _first(body: Body) -> Iterator[Paragraph]:
    for item in body.others(FIRST):
        yield _own(item, body.fold)


def _week(body: Body) -> Iterator[Paragraph]:
    """All jobs of a week by their number, where there are too many for their names."""
    due = [*body.due(SHORT), *body.due(WORK)] if body.fold >= Fold.COUNTED else []
    if body.fold is Fold.SORTS and due:
        gaps = _gaps(due)
        for said in sorts_with_days(_jobs(due), body.today):
            yield Paragraph(WEEK, said, gaps)
    elif due:
        yield from _each_day(WEEK, due, counted)


def _short(body: Body) -> Iterator[Paragraph]:
    due, others = body.due(SHORT), body.others(SHORT)
    if body.fold is Fold.OWN_WORDS:
        yield from (_own(item, body.fold) for item in body.items if item.section == SHORT)
        return
    if body.fold < Fold.COUNTED:
        yield from _each_day(SHORT, due, barely_named if body.fold.is_bare else named, "By ")
    later = [item for item in others if item.job is not None]
    if later:
        yield Paragraph(SHORT, f"Later: {with_days(by_day(_jobs(later)))}.", _gaps(later), "Later:")
    yield from (_own(item, body.fold) for item in others if item.job is None)


def _work(body: Body) -> Iterator[Paragraph]:
    if body.fold < Fold.COUNTED:
        yield from _each_day(WORK, body.due(WORK), counted if body.fold.counts_work else named)
    yield from (_own(item, body.fold) for item in body.others(WORK))


def _waiting(body: Body) -> Iterator[Paragraph]:
    for item in body.others(WAITING):
        yield _own(item, body.fold)


_SAID: dict[str, Callable[[Body], Iterator[Paragraph]]] = {
    FIRST: _first,
    WEEK: _week,
    SHORT: _short,
    WORK: _work,
    WAITING: _waiting,
}


def _own(item: Item, fold: Fold) -> Paragraph:
    return Paragraph(item.section, item.brief if item.brief and fold else item.text, item.gaps)


def _each_day(
    section: str, items: Sequence[Item], said: Callable[[Sequence[ShortJob]], str], lead: str = ""
) -> Iterator[Paragraph]:
    for day, jobs in by_day(_jobs(items)).items():
        gaps = _gaps(item for item in items if item.job in jobs)
        begins = f"{lead}{near_day_in_words(day)}:"
        yield Paragraph(section, f"{begins} {said(jobs)}.", gaps, begins)


def _jobs(items: Iterable[Item]) -> list[ShortJob]:
    return [item.job for item in items if item.job is not None]


def _gaps(items: Iterable[Item]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for item in items for name in item.gaps))
