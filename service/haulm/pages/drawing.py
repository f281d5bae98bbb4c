"""Numbers as shapes: the points of a drawing, so that templates hold no arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop

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
