"""Beds as shapes: metres by week up to the end of the bed, and above it what is too many; a strip for each sowing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.jobs.gaps.see_beds import WEEKS, BedSowing, SeenBed

WIDTH, _HEIGHT, _TOP = 360, 56, 4
_NAME = 26
"""What the name of a month takes."""


@dataclass(frozen=True, slots=True)
class BedDrawn:
    """A bed as SVG paths: being cut, above it growing, sown and not up yet, and what lies above the end of the bed."""

    cutting: str
    growing: str
    sown: str
    over: str
    end: float | None
    width: int = WIDTH
    height: int = _HEIGHT


@dataclass(frozen=True, slots=True)
class SowingDrawn:
    """A sowing as a strip: where it begins, is up, where cutting begins and ends, and where it ends, from the left."""

    begins: float
    up: float
    cut: float
    over: float
    ends: float


def bed_drawn(bed: SeenBed) -> BedDrawn:
    """A bed drawn over its weeks, on a scale of its own."""
    most = max(bed.most, bed.bed.metres or 0.0) or 1.0
    wide = WIDTH / len(bed.weeks)

    def up(metres: float) -> float:
        return round(_HEIGHT - (_HEIGHT - _TOP) * metres / most, 1)

    def block(place: int, low: float, high: float) -> str:
        return f"M{wide * place:.1f} {up(low):g}V{up(high):g}h{wide:.1f}V{up(low):g}z" if high > low else ""

    room = most if bed.bed.metres is None else bed.bed.metres
    return BedDrawn(
        "".join(block(at, 0, min(week.cutting, room)) for at, week in enumerate(bed.weeks)),
        "".join(
            block(at, min(week.cutting, room), min(week.taken - week.sown, room)) for at, week in enumerate(bed.weeks)
        ),
        "".join(
            block(at, min(week.taken - week.sown, room), min(week.taken, room)) for at, week in enumerate(bed.weeks)
        ),
        "".join(block(at, room, week.taken) for at, week in enumerate(bed.weeks)),
        None if bed.bed.metres is None else up(room),
    )


def sowing_drawn(sowing: BedSowing, today: date) -> SowingDrawn:
    """A sowing as a strip over the weeks of its bed."""
    first, last = sowing.cut or (sowing.last, sowing.last)
    up = min(first, max(sowing.first, sowing.up or sowing.first))
    return SowingDrawn(*(_across(day, today) for day in (sowing.first, up, first, last, sowing.last)))


def bed_months(today: date) -> Sequence[tuple[float, str]]:
    """Where each month begins, and its name."""
    days = (today - timedelta(days=today.weekday()) + timedelta(days=number) for number in range(7 * WEEKS))
    names = [(_across(day, today), f"{day:%b}") for day in days if day.day == 1]
    return [(x, name) for x, name in names if x <= WIDTH - _NAME]


def _across(day: date, today: date) -> float:
    monday = today - timedelta(days=today.weekday())
    return round(WIDTH * min(1.0, max(0.0, (day - monday).days / (7 * WEEKS))), 1)
