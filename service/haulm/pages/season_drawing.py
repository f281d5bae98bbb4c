"""The season as shapes: what grows above the ground line, below it what is missing, free or spoken for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from haulm.planning.season_picture import WeekFigures

_BELOW = 13
"""What lies below the ground line."""
_TIMES_PROMISED = 2.2
"""A row ends at so many times its promise: what grows beyond it is cut off, so that small promises stay to be seen."""
_SMALL, _MIDDLING = 0.12, 0.4
"""Shares of the row's height up to which a sign is drawn small or middling."""
_RINGS, _DEPTHS = (1.6, 2.6, 3.6), (4.0, 7.5, 11.0)


@dataclass(frozen=True, slots=True)
class Ground:
    """One row as SVG paths.

    Attributes:
        turf: solid blocks: what is sure.
        blades, heads: half the seasons reach the blade with a head, one in ten the bare one.
        twine: the stepped line of what is promised.
        holes, rings, dots: below the ground: short, free, all spoken for.
        grid: where months begin.
        top: stems at the upper edge.
        floor: where the ground line lies.
        height, width: of the drawing.
    """

    turf: str
    blades: str
    heads: str
    twine: str
    holes: str
    rings: str
    dots: str
    grid: str
    top: int
    floor: float
    height: int
    width: int


@dataclass(frozen=True, slots=True)
class Scale:
    """How large a row is drawn."""

    width: int
    height: int
    left: int = 0


PHONE, DESK, LARGE = Scale(360, 60), Scale(720, 44), Scale(360, 190, 34)


def ground(weeks: Sequence[WeekFigures], scale: Scale) -> Ground:
    """A row of weeks drawn over its ground line."""
    pen = _Pen(weeks, scale)
    return Ground(
        "".join(pen.turf()),
        "".join(pen.blades()),
        "".join(pen.heads()),
        "".join(pen.twine()),
        "".join(pen.holes()),
        "".join(pen.rings()),
        "".join(pen.dots()),
        "".join(f"M{x:g} 0V{pen.floor + _BELOW:g}" for x, _ in months(weeks, scale)),
        pen.top,
        pen.floor,
        scale.height,
        scale.width,
    )


def months(weeks: Sequence[WeekFigures], scale: Scale) -> tuple[tuple[float, str], ...]:
    """Where each month begins that begins in these weeks, and its name."""
    if not weeks:
        return ()
    wide = (scale.width - scale.left) / len(weeks)
    first, days = weeks[0].week.monday, 7 * len(weeks)
    every = (first + timedelta(days=number) for number in range(days))
    return tuple((round(scale.left + wide * (day - first).days / 7, 1), f"{day:%b}") for day in every if day.day == 1)


def taps(weeks: Sequence[WeekFigures], scale: Scale) -> tuple[tuple[float, float, WeekFigures], ...]:
    """Where each week is tapped: its left edge, its width, the week."""
    wide = (scale.width - scale.left) / max(1, len(weeks))
    return tuple((round(scale.left + wide * place, 1), round(wide, 1), week) for place, week in enumerate(weeks))


class _Pen:
    """One row being drawn."""

    def __init__(self, weeks: Sequence[WeekFigures], scale: Scale) -> None:
        promised = max((week.promised for week in weeks), default=0)
        most = max((week.tenth for week in weeks), default=0)
        half = max((week.half for week in weeks), default=0)
        self.top = max(1, min(max(most, promised), round(_TIMES_PROMISED * promised) if promised else half or most))
        self.floor = float(scale.height - _BELOW)
        self._left = scale.left
        self._weeks = weeks
        self._wide = (scale.width - scale.left) / max(1, len(weeks))

    def turf(self) -> Iterator[str]:
        for x, week in self._each():
            if week.sure:
                yield f"M{x + 0.3:.1f} {self.floor:g}V{self._up(week.sure):g}h{self._wide - 0.6:.1f}V{self.floor:g}z"

    def blades(self) -> Iterator[str]:
        for x, week in self._each():
            foot = self._up(week.sure)
            if self._up(week.half) < foot:
                yield f"M{x + 0.35 * self._wide:.1f} {foot:g}V{self._up(week.half):g}"
            if self._up(week.tenth) < foot:
                yield f"M{x + 0.75 * self._wide:.1f} {foot:g}V{self._up(week.tenth):g}"

    def heads(self) -> Iterator[str]:
        for x, week in self._each():
            if self._up(week.half) < self._up(week.sure) and week.half <= self.top:
                yield _ring(x + 0.35 * self._wide, self._up(week.half), 1.5)

    def twine(self) -> Iterator[str]:
        is_drawn = False
        for x, week in self._each():
            if week.promised:
                up = self._up(week.promised)
                yield f"V{up:g}h{self._wide:.1f}" if is_drawn else f"M{x:.1f} {up:g}h{self._wide:.1f}"
            is_drawn = bool(week.promised)

    def holes(self) -> Iterator[str]:
        for x, week in self._each():
            if week.short:
                deep, wide = self._size(week.short, _DEPTHS), self._wide - 0.6
                slope = min(2.0, wide / 4)
                yield f"M{x + 0.3:.1f} {self.floor:g}h{wide:.1f}l{-slope:.1f} {deep:g}h{2 * slope - wide:.1f}z"

    def rings(self) -> Iterator[str]:
        for x, week in self._each():
            if week.free and not week.short:
                yield _ring(x + self._wide / 2, self.floor + 7, self._size(week.free, _RINGS))

    def dots(self) -> Iterator[str]:
        for x, week in self._each():
            if week.promised and not week.short and not week.free:
                yield _ring(x + self._wide / 2, self.floor + 7, 1)

    def _each(self) -> Iterator[tuple[float, WeekFigures]]:
        return ((self._left + self._wide * place, week) for place, week in enumerate(self._weeks))

    def _up(self, stems: int) -> float:
        return round(self.floor - (self.floor - 2) * min(1.0, stems / self.top), 1)

    def _size(self, stems: float, sizes: tuple[float, float, float]) -> float:
        share = stems / self.top
        return sizes[0] if share <= _SMALL else sizes[1] if share <= _MIDDLING else sizes[2]


def _ring(x: float, y: float, r: float) -> str:
    return f"M{x - r:.1f} {y:.1f}a{r:g} {r:g} 0 1 0 {2 * r:g} 0a{r:g} {r:g} 0 1 0 {-2 * r:g} 0"
