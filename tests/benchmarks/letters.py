"""The early warnings of the rehearsal, read in order. Nothing passes or fails: read the tables.

    python tests/benchmarks/letters.py [WEEKS [SEASONS [FOLDER]]]

For each letter: the lines of news and jobs between its head and its foot, as printed; how many of these the letter
before had as well. For each gap of more than 50 stems: when it first stood, by which day its cheapest remedy (the
recommended way) was to be begun then, and when a letter first named it. With a folder, the letters are left there.
"""

from __future__ import annotations

import contextlib
import io
import sys
import tempfile
from dataclasses import dataclass, field
from datetime import date
from email import message_from_bytes
from email.policy import default
from pathlib import Path

from haulm.advice.asked_words import asked_in_words
from haulm.farm.weeks import day_in_words, weeks_in_words
from haulm.jobs.desk import Desk
from haulm.jobs.send_digest import SENT
from haulm.jobs.standing_gaps import dated_gaps
from haulm.rehearsal import rehearse

FOOT = "Short is what is less sure"
LARGE = 50
"""Stems that a gap lacks on average before it must be named in time."""


@dataclass
class LargeGap:
    """A large gap: in words, since when it stands, by when it was to be acted on then, and when it was named."""

    words: str
    since: date
    act_by: date | None
    named: date | None = None


@dataclass
class Seen:
    """What was seen day by day: large gaps by name, the last letter and day looked at."""

    large: dict[str, LargeGap] = field(default_factory=dict)
    last: int = 0
    until: date = date.min

    def look(self, desk: Desk) -> None:
        """Look at the farm once the letters of the day are written."""
        plan, self.until = desk.plan(), desk.today()
        for found in dated_gaps(desk, plan):
            if found.gap.expected_missing > LARGE and found.days is not None:
                words = f"{asked_in_words(found.gap.asked, plan.crops)}, {weeks_in_words(found.gap.weeks)}"
                words = f"{words} ({found.gap.expected_missing:.0f} stems)"
                self.large.setdefault(found.gap.key, LargeGap(words, desk.today(), found.decide_by))
        for entry in desk.store.entries_of(SENT):
            if entry.seq > self.last:
                self.last = entry.seq
                self._read(desk, entry.facts["gaps"])

    def _read(self, desk: Desk, told: object) -> None:
        assert isinstance(told, dict)
        for name, gap in self.large.items():
            if name in told and gap.named is None:
                gap.named = desk.today()


def main() -> None:
    """Print both tables."""
    given = sys.argv[1:]
    weeks, seasons = int(given[0]) if given else 8, int(given[1]) if len(given) > 1 else 400
    seen = Seen()
    with tempfile.TemporaryDirectory() as made, contextlib.redirect_stdout(io.StringIO()):
        place = Path(given[2]) if len(given) > 2 else Path(made) / "weeks"
        rehearse(place, weeks=weeks, seasons=seasons, each_day=seen.look)
        letters = letters_in(place)
    print_letters(letters)
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


def print_letters(letters: list[tuple[str, list[str]]]) -> None:
    """A row for each letter."""
    print("| Letter | Lines | As in the letter before |")
    print("| --- | --- | --- |")
    before: list[str] = []
    for day, lines in letters:
        again = sum(line in before for line in lines)
        share = f"{again} ({100 * again // len(lines)} %)" if lines else "0"
        print(f"| {day} | {len(lines)} | {share} |")
        before = lines


def print_gaps(seen: Seen) -> None:
    """A row for each large gap."""
    print("\n| Gap | Stands since | Cheapest remedy by | Named |")
    print("| --- | --- | --- | --- |")
    for gap in seen.large.values():
        by = "-" if gap.act_by is None else day_in_words(gap.act_by)
        print(f"| {gap.words} | {day_in_words(gap.since)} | {by} | {named_in_words(gap, seen.until)} |")


def named_in_words(gap: LargeGap, until: date) -> str:
    """When a gap was named, and whether that was too late."""
    if gap.named is None:
        return "never" if gap.act_by is not None and gap.act_by < until else "not yet, still possible"
    is_late = gap.act_by is not None and gap.named > gap.act_by
    return f"{day_in_words(gap.named)}{', too late' if is_late else ''}"


if __name__ == "__main__":
    main()
