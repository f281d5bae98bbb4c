"""Numbers as shapes: the points of a drawing, so that templates hold no arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop
from haulm.forecast.typical import TypicalSeason, side_by_side
from haulm.jobs.gaps.faces_words import faces_in_words, marks_in_words
from haulm.matching.reading.faces import TEN, Faces

WIDTH, HEIGHT = 640, 140
_LEFT, _BOTTOM, _TOP = 40, 24, 10
_MOST_NAMES = 12


@dataclass(frozen=True, slots=True)
class Strip:
    """A band from poor to good with the middle as a line, over named steps.

    Attributes:
        band, middle: points of the polygon and the line, as SVG reads them.
        names: where each step's name stands, and the name.
        top: the greatest value, drawn at the top.
    """

    band: str
    middle: str
    names: tuple[tuple[float, str], ...]
    top: int
    width: int = WIDTH
    height: int = HEIGHT
    left: int = _LEFT
    floor: int = HEIGHT - _BOTTOM
    ceiling: int = _TOP


def strip(steps: Sequence[tuple[str, int, int, int]]) -> Strip:
    """A drawing of steps, each with its name and its poor, middling and good value."""
    top = max((step[3] for step in steps), default=0) or 1
    wide = (WIDTH - _LEFT - 10) / max(1, len(steps))
    across = [_LEFT + wide * (place + 0.5) for place in range(len(steps))]
    high = [f"{x:.1f},{_down(step[3], top):.1f}" for x, step in zip(across, steps, strict=True)]
    low = [f"{x:.1f},{_down(step[1], top):.1f}" for x, step in zip(across, steps, strict=True)]
    middle = [f"{x:.1f},{_down(step[2], top):.1f}" for x, step in zip(across, steps, strict=True)]
    every = -(-len(steps) // _MOST_NAMES)
    names = tuple(
        (round(x, 1), step[0]) for place, (x, step) in enumerate(zip(across, steps, strict=True)) if place % every == 0
    )
    return Strip(" ".join([*high, *reversed(low)]), " ".join(middle), names, top)


@dataclass(frozen=True, slots=True)
class Panel:
    """One season as bars by week.

    Attributes:
        words: what it is called and its stems.
        bars: the outlines of its bars, as an SVG path.
        floor, label: where its bars stand, and where its words stand, from the top.
    """

    words: str
    bars: str
    floor: float
    label: float


@dataclass(frozen=True, slots=True)
class Panels:
    """Seasons one above the other, over the same weeks and on the same scale; `names` are the weeks below them."""

    panels: tuple[Panel, ...]
    names: tuple[tuple[float, str], ...]
    height: int
    width: int = WIDTH


_PANEL, _WORDS, _EDGE = 96, 30, 8


def panels(seasons: Sequence[TypicalSeason]) -> Panels | None:
    """A drawing of seasons that could happen, over all their weeks; None where there is none."""
    if not seasons:
        return None
    weeks, counts = zip(*side_by_side(seasons), strict=True)
    top = max(max(row) for row in counts)
    wide = (WIDTH - 2 * _EDGE) / len(weeks)
    by_season = zip(seasons, zip(*counts, strict=True), strict=True)
    drawn = tuple(_panel(season.name, stems, place, top) for place, (season, stems) in enumerate(by_season))
    every = -(-len(weeks) // _MOST_NAMES)
    names = tuple(
        (round(_EDGE + wide * (place + 0.5), 1), str(week.number))
        for place, week in enumerate(weeks)
        if place % every == every // 2
    )
    return Panels(drawn, names, _PANEL * len(seasons) + _WORDS)


def _panel(name: str, counts: Sequence[int], place: int, top: int) -> Panel:
    floor, most = _PANEL * (place + 1) - _EDGE / 2, _PANEL - _WORDS - _EDGE
    wide = (WIDTH - 2 * _EDGE) / len(counts)
    bars = [
        f"M{_EDGE + wide * at + 1:.1f} {floor:.1f}v{-most * count / top:.1f}h{max(1.0, wide - 2):.1f}V{floor:.1f}z"
        for at, count in enumerate(counts)
        if count
    ]
    stems = sum(counts)
    words = f"{name}: {stems:,} stem{'' if stems == 1 else 's'}"
    return Panel(words, "".join(bars), floor, _PANEL * place + _WORDS - _EDGE)


@dataclass(frozen=True, slots=True)
class Columns:
    """One bar for each step: their outlines as an SVG path, the names below, and the greatest value."""

    bars: str
    names: tuple[tuple[float, str], ...]
    top: int
    width: int = WIDTH
    height: int = HEIGHT
    left: int = 8
    floor: int = HEIGHT - _BOTTOM


def columns(steps: Sequence[tuple[str, int]]) -> Columns:
    """A drawing of steps, each with its name and its value, on one scale."""
    top = max((value for _, value in steps), default=0) or 1
    wide, floor = (WIDTH - 16) / max(1, len(steps)), HEIGHT - _BOTTOM
    bars = [
        f"M{8 + wide * at + 1:.1f} {floor}v{-(floor - _TOP) * value / top:.1f}h{max(1.0, wide - 2):.1f}V{floor}z"
        for at, (_, value) in enumerate(steps)
    ]
    every = -(-len(steps) // (_MOST_NAMES // 2))
    names = [(round(8 + wide * (at + 0.5), 1), name) for at, (name, _) in enumerate(steps) if at % every == every // 2]
    return Columns("".join(bars), tuple(names), top)


PLOT = 280
"""Width and height of the reliability plot inside its axes."""


def dots(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Where pairs of shares, stated and come true, stand in a square of `PLOT` whose corner lies at 30, 10."""
    return tuple((round(30 + PLOT * stated, 1), round(10 + PLOT * (1 - came), 1)) for stated, came in points)


@dataclass(frozen=True, slots=True)
class Span:
    """One batch on the calendar: where its bar begins and how long it is, and where it is planted out."""

    batch: Batch
    crop: Crop
    begins: float
    length: float


def spans(batches: Sequence[tuple[Batch, Crop]], first: date, last: date) -> tuple[Span, ...]:
    """Bars from sowing to the expected end of cutting, in shares of a stretch of days (0-100)."""
    days = max(1, (last - first).days)
    found = []
    for batch, crop in batches:
        if batch.sow_date is None:
            continue
        begins = (batch.sow_date - first).days
        length = round(7 * (crop.weeks_to_flower + crop.harvest_weeks))
        start, stop = max(0, begins), min(days, begins + length)
        if stop > start:
            found.append(Span(batch, crop, 100 * start / days, 100 * (stop - start) / days))
    return tuple(found)


def _down(value: int, top: int) -> float:
    floor = HEIGHT - _BOTTOM
    return floor - (floor - _TOP) * value / top


@dataclass(frozen=True, slots=True)
class Pails:
    """Ten seasons as ten pails, the best first: full, with a part, or empty.

    Attributes:
        marks: where each stands from the left, and `all`, `part` or `none`.
        words: the same as a sentence.
    """

    marks: tuple[tuple[int, str], ...]
    words: str
    width: int


_PAIL = 20


def pails(found: Faces) -> Pails:
    """A drawing of how seasons treat what is asked."""
    marks = marks_in_words(found)
    return Pails(tuple((_PAIL * at, mark) for at, mark in enumerate(marks)), faces_in_words(found), _PAIL * TEN)
