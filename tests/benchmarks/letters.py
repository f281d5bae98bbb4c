"""The early warnings of the rehearsal, read in order. Nothing passes or fails: read the tables.

    python tests/benchmarks/letters.py [WEEKS [SEASONS [FOLDER]]]

For each letter: the lines of news and jobs between its head and its foot, as printed, with their titles; how many of
these, without titles, the letter before had as well; how many things it says, and how many of them a letter has told
before. For each gap of more than 50 stems that letters tell: since when it is so large, by which day its cheapest
remedy (the recommended way) was to be begun then, when a letter first named it, and when one spoke of it once it was so
large.
With a folder, the letters are left there.
"""

from __future__ import annotations

import contextlib
import io
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from email import message_from_bytes
from email.policy import default
from pathlib import Path

from haulm.advice.asked_words import asked_in_words
from haulm.farm.weeks import day_in_words, weeks_in_words
from haulm.farm.words import Weekday
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.follow_jobs import work_out_jobs
from haulm.jobs.gaps.standing_gaps import DatedGap, dated_gaps
from haulm.jobs.warning.letter_lines import SECTIONS
from haulm.jobs.warning.run_due import ACTOR
from haulm.jobs.warning.send_digest import SENT, SUBJECT, send_grave_news
from haulm.jobs.warning.told_gaps import ToldLetter
from haulm.jobs.warning.warn_early import Digest, telling_gaps, warn_early
from haulm.rehearsal import rehearse

FOOT = "Short is what is less sure"
LARGE = 50
"""Stems that a gap lacks on average before it must be named in time."""


@dataclass
class LargeGap:
    """A large gap: in words, since when it is so large, by when it was to be acted on then, and when it was told."""

    words: str
    since: date
    act_by: date
    named: date | None = None
    told: date | None = None


@dataclass
class Seen:
    """What was seen day by day: large gaps by name; when each gap was first told; what each letter says, and again."""

    large: dict[str, LargeGap] = field(default_factory=dict)
    named: dict[str, date] = field(default_factory=dict)
    said: list[tuple[int, int]] = field(default_factory=list)
    told: ToldLetter = field(default_factory=ToldLetter)
    last: int = 0
    until: date = date.min

    def look(self, desk: Desk) -> None:
        """Work out days and jobs as a served farm does after every write, tell what is grave, and look at the farm."""
        work_out_jobs(desk)
        plan, self.until = desk.plan(), desk.today()
        standing = dated_gaps(desk, plan)
        for found in telling_gaps(plan, standing):
            if found.gap.expected_missing > LARGE and found.decide_by and found.gap.key not in self.large:
                words = f"{asked_in_words(found.gap.asked, plan.crops)}, {weeks_in_words(found.gap.weeks)}"
                words = f"{words} ({found.gap.expected_missing:.0f} stems)"
                named = min((self.named[name] for name in _names(found) if name in self.named), default=None)
                self.large[found.gap.key] = LargeGap(words, desk.today(), found.decide_by, named)
        is_weekly = Weekday.of(desk.today()) is desk.store.farm().site.short_letter_day
        self._read(desk, warn_early(desk, self.told, is_weekly=is_weekly), standing)
        grave = warn_early(desk, self.told)
        send_grave_news(desk, ACTOR)
        self._read(desk, grave, standing)

    def _read(self, desk: Desk, said: Digest, standing: Sequence[DatedGap]) -> None:
        """What a letter says, where one was written since the last look."""
        entry = desk.store.last_entry(SENT, SUBJECT)
        if entry is None or entry.seq == self.last:
            return
        self.last, self.told = entry.seq, ToldLetter.of(entry.facts)
        items = said.body.items
        self.said.append((len(items), sum(not item.is_news for item in items)))
        spoken = {name for item in items for name in item.gaps}
        for found in standing:
            for name in _names(found) if found.gap.key in spoken else ():
                self.named.setdefault(name, desk.today())
                if name in self.large:
                    gap = self.large[name]
                    gap.named, gap.told = gap.named or desk.today(), gap.told or desk.today()


def _names(found: DatedGap) -> tuple[str, ...]:
    """The name of a gap, and those of the gaps that have become part of it."""
    return (found.gap.key, *found.merged)


def main() -> None:
    """Print both tables."""
    given = sys.argv[1:]
    weeks, seasons = int(given[0]) if given else 8, int(given[1]) if len(given) > 1 else 400
    seen = Seen()
    with tempfile.TemporaryDirectory() as made, contextlib.redirect_stdout(io.StringIO()):
        place = Path(given[2]) if len(given) > 2 else Path(made) / "weeks"
        rehearse(place, weeks=weeks, seasons=seasons, each_day=seen.look)
        letters = letters_in(place)
    print_letters(letters, seen.said)
    print_gaps(seen)


def letters_in(place: Path) -> list[tuple[str, list[str]]]:
    """The day of each early warning that was sent, in words, and its lines between head and foot."""
    found = []
    for path in sorted((place / "mails").glob("*.eml")):
        mail = message_from_bytes(path.read_bytes(), policy=default)
        text = mail.get_body(("plain",))
        if "field@" in str(mail["To"]) and text is not None:
            head, *lines = [line for line in str(text.get_content()).splitlines() if line]
            foot = next(place for place, line in enumerate(lines) if line.startswith(FOOT))
            found.append((head.rpartition(", ")[2], lines[:foot]))
    return found


def print_letters(letters: list[tuple[str, list[str]]], said: Sequence[tuple[int, int]]) -> None:
    """A row for each letter."""
    print("| Letter | Lines | As in the letter before | Things said | Told before |")
    print("| --- | --- | --- | --- | --- |")
    titles, before = {f"{one}:" for one in SECTIONS}, set[str]()
    for (day, lines), (things, again) in zip(letters, said, strict=True):
        own = [line for line in lines if line not in titles]
        same = sum(line in before for line in own)
        share = f"{same} ({100 * same // len(own)} %)" if own else "0"
        print(f"| {day} | {len(lines)} | {share} | {things} | {again} |")
        before = set(own)


def print_gaps(seen: Seen) -> None:
    """A row for each large gap."""
    print("\n| Gap | So large since | Cheapest remedy by | First named | Told as large |")
    print("| --- | --- | --- | --- | --- |")
    for gap in seen.large.values():
        days = f"{day_in_words(gap.since)} | {day_in_words(gap.act_by)}"
        told = "-" if gap.told is None else day_in_words(gap.told)
        print(f"| {gap.words} | {days} | {named_in_words(gap, seen.until)} | {told} |")


def named_in_words(gap: LargeGap, until: date) -> str:
    """When a gap was named, and whether that was too late."""
    if gap.named is None:
        return "never" if gap.act_by < until else "not yet, still possible"
    return f"{day_in_words(gap.named)}{', too late' if gap.named > gap.act_by else ''}"


if __name__ == "__main__":
    main()
