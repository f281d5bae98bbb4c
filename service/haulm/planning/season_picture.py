"""The season as one figure: by kind or role and week, what there is for promises, what is promised, short and free.

What is drawn and what may be promised are the same count: the stems that a week's lines are given, and those left over
for a new line on the better delivery day, season by season. Kinds are added inside each season and ranked afterwards;
percentiles are never added.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.farm.words import Form, LineClass, Role, Weekday
from haulm.kept import Kept
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.free_to_promise import hope_level, still_free, sure_at
from haulm.matching.supply import IntArray, StemArray, packed
from haulm.matching.windows import Window
from haulm.planning.free_by_week import better_days
from haulm.planning.product_rests import Rests, rests_on

HALF, ONE_IN_TEN = 0.5, 0.1
_KINDS_KEPT = 96
_NOT_NAMED = (LineClass.SPARE, LineClass.STALL)
"""Classes that are promised to nobody by name."""


@dataclass(frozen=True, slots=True)
class WeekFigures:
    """One kind or role in one week, in stems.

    Attributes:
        week: the week.
        sure: what seasons of the farm's level have for promises, for those that stand and for a new one.
        half: what half the seasons have.
        tenth: what one season in ten has.
        promised: what named lines ask of it, and of wider choices what half the seasons give them from it.
        short: what lines that are not sure lack on average.
        free: what a new line on the better delivery day could be given at the farm's level, nobody losing a stem.
    """

    week: Week
    sure: int
    half: int
    tenth: int
    promised: int
    short: float
    free: int

    @property
    def is_bare(self) -> bool:
        """Whether there is nothing to draw."""
        return not (self.tenth or self.promised or self.short or self.free)


@dataclass(frozen=True, slots=True)
class SeasonPicture:
    """All weeks ahead, by fresh product and by role."""

    kinds: dict[Product, tuple[WeekFigures, ...]]
    roles: dict[Role, tuple[WeekFigures, ...]]


@dataclass(frozen=True, eq=False, slots=True)
class KindStems:
    """One product over the weeks: stems for promises and stems left for a new line, each (weeks, seasons).

    `levels` are both ranked, as `_ranked` gives them.
    """

    there: StemArray
    left: StemArray
    levels: IntArray


class _Asked(NamedTuple):
    """Which weeks and delivery days are looked at, and at which level."""

    weeks: tuple[Week, ...]
    days: tuple[Weekday, ...]
    level: float


@dataclass(frozen=True)
class KindStemsKept:
    """The stems of products that were worked out, from one version of a farm to the next."""

    known: Kept[tuple[Rests, _Asked], KindStems] = field(default_factory=lambda: Kept(_KINDS_KEPT))


@dataclass(frozen=True, eq=False)
class SeasonAsked:
    """What a picture is made of.

    Attributes:
        result: a match over the seasons.
        gaps: what is short in it.
        crops: every variety by key.
        weeks: the weeks, rising.
        days: the farm's delivery days.
        level: the level of what is called sure, 0-1.
    """

    result: MatchResult
    gaps: Sequence[Gap]
    crops: Mapping[str, Crop]
    weeks: tuple[Week, ...]
    days: tuple[Weekday, ...]
    level: float


def season_picture(asked: SeasonAsked, kept: KindStemsKept) -> SeasonPicture:
    """The weeks of every fresh product and of every role.

    Args:
        asked: what the picture is made of.
        kept: stems of products that are known already.

    Source: the project's own (docs/engineer/model.md); sums are made inside each season.
    """
    found, kinds = {}, {}
    for product in _products(asked):
        found[product] = _kept_stems(asked, product, kept)
        kinds[product] = _row(asked, [product], [found[product]], _names(product))
    roles = {}
    for role in Role:
        own = [product for product in found if asked.crops[product.variety].role is role]
        if own:
            roles[role] = _row(asked, own, [found[product] for product in own], _asks_role(role, own))
    return SeasonPicture(kinds, roles)


def colour_weeks(asked: SeasonAsked, kept: KindStemsKept) -> dict[str, tuple[WeekFigures, ...]]:
    """The weeks of the kinds of each colour, together; under an empty word those of which no colour is said.

    Args:
        asked: what the picture is made of.
        kept: stems of products that are known already.

    Source: as `season_picture`, with colours in place of roles.
    """
    found: dict[str, list[Product]] = {}
    for product in _products(asked):
        found.setdefault(asked.crops[product.variety].colour or "", []).append(product)
    return {
        colour: _row(asked, own, [_kept_stems(asked, one, kept) for one in own], _asks_colour(colour, own))
        for colour, own in sorted(found.items(), key=lambda one: (not one[0], one[0]))
    }


def kind_stems(asked: SeasonAsked, product: Product, kept: KindStemsKept) -> KindStems:
    """The stems of one product, over the weeks and inside each season.

    Args:
        asked: what the picture is made of.
        product: the product.
        kept: stems of products that are known already.
    """
    return _kept_stems(asked, product, kept)


def kind_weeks(asked: SeasonAsked, product: Product, kept: KindStemsKept) -> tuple[WeekFigures, ...]:
    """The weeks of one product, as `season_picture` has them.

    Args:
        asked: what the picture is made of.
        product: the product.
        kept: stems of products that are known already.
    """
    return _row(asked, [product], [_kept_stems(asked, product, kept)], _names(product))


def _products(asked: SeasonAsked) -> list[Product]:
    lines = {line.product for line in asked.result.lines if line.product is not None}
    every = sorted({*asked.result.supply.by_product, *lines})
    return [product for product in every if product.form is not Form.DRIED]


def _names(product: Product) -> Callable[[DatedLine], bool]:
    return lambda line: line.product == product


def _asks_role(role: Role, own: Sequence[Product]) -> Callable[[DatedLine], bool]:
    def asks(line: DatedLine) -> bool:
        return line.product in own if line.choice is None else line.choice.roles == (role,)

    return asks


def _asks_colour(colour: str, own: Sequence[Product]) -> Callable[[DatedLine], bool]:
    def asks(line: DatedLine) -> bool:
        return line.product in own if line.choice is None else line.choice.colours == (colour,)

    return asks


def _kept_stems(asked: SeasonAsked, product: Product, kept: KindStemsKept) -> KindStems:
    if product not in asked.result.supply.by_product:
        none: StemArray = np.zeros((len(asked.weeks), 1), np.int16)
        return KindStems(none, none, np.zeros((4, len(asked.weeks)), np.int32))
    key = (rests_on(asked.result, product), _Asked(asked.weeks, asked.days, asked.level))
    return kept.known.of(key, lambda: _stems(asked, product))


def _stems(asked: SeasonAsked, product: Product) -> KindStems:
    result = asked.result
    dues = [week.day(day) for week in asked.weeks for day in asked.days]
    left = still_free(result, product, [Window(due) for due in dues])
    left[[due < result.keeping.today for due in dues]] = 0
    levels = (asked.level, hope_level(asked.level))
    shape = (len(asked.weeks), len(asked.days))
    best = better_days(sure_at(left, result.supply.weights, levels).reshape(2, *shape))
    left = left.reshape(*shape, left.shape[1])[np.arange(len(asked.weeks)), best]
    there = left + _given(asked, [product], lambda line: True)
    return KindStems(packed(there), packed(left), _ranked(asked, there, left))


def _ranked(asked: SeasonAsked, there: IntArray, left: IntArray) -> IntArray:
    """What is sure, what half and one in ten seasons have, and what is free at the level, shape (4, weeks)."""
    weights = asked.result.supply.weights
    levels = sure_at(there, weights, (asked.level, HALF, ONE_IN_TEN))
    return np.concatenate([levels, sure_at(left, weights, (asked.level,))])


def _given(asked: SeasonAsked, products: Iterable[Product], counts: Callable[[DatedLine], bool]) -> IntArray:
    """Stems that named lines of each week are given of products, shape (weeks, seasons)."""
    result, places = asked.result, {week: place for place, week in enumerate(asked.weeks)}
    found = np.zeros((len(asked.weeks), result.supply.seasons), np.int32)
    for pool in (pool for product in products for pool in result.supply.by_product.get(product, ())):
        for number, stems in result.takers.get(pool, ()):
            line = result.lines[number]
            place = places.get(Week.of(line.due))
            if place is not None and is_named(line) and counts(line):
                found[place] += stems
    return found


def _row(
    asked: SeasonAsked, products: Sequence[Product], stems: Sequence[KindStems], owns: Callable[[DatedLine], bool]
) -> tuple[WeekFigures, ...]:
    weights = asked.result.supply.weights
    sure, half, tenth, free = _levels(asked, stems).tolist()
    likely = sure_at(_given(asked, products, lambda line: not owns(line)), weights, (HALF,))[0].tolist()
    own, short = _asked_by_week(asked, owns), _short_by_week(asked, owns)
    return tuple(
        WeekFigures(
            week,
            sure[place],
            half[place],
            tenth[place],
            own.get(week, 0) + likely[place],
            short.get(week, 0.0),
            free[place],
        )
        for place, week in enumerate(asked.weeks)
    )


def _levels(asked: SeasonAsked, stems: Sequence[KindStems]) -> IntArray:
    """The ranks of kinds together: added inside each season, then ranked."""
    if len(stems) == 1:
        return stems[0].levels
    there: IntArray = np.zeros((len(asked.weeks), asked.result.supply.seasons), np.int32)
    left: IntArray = np.zeros_like(there)
    for one in stems:
        there += one.there
        left += one.left
    return _ranked(asked, there, left)


def _asked_by_week(asked: SeasonAsked, owns: Callable[[DatedLine], bool]) -> dict[Week, int]:
    found: dict[Week, int] = {}
    for line in asked.result.lines:
        if is_named(line) and owns(line):
            week = Week.of(line.due)
            found[week] = found.get(week, 0) + line.stems
    return found


def _short_by_week(asked: SeasonAsked, owns: Callable[[DatedLine], bool]) -> dict[Week, float]:
    found: dict[Week, float] = {}
    for short in (short for gap in asked.gaps for short in gap.shortfalls if owns(short.line)):
        week = Week.of(short.line.due)
        found[week] = found.get(week, 0.0) + short.expected_missing
    return found


def is_named(line: DatedLine) -> bool:
    """Whether a line is promised to somebody by name."""
    return line.line_class not in _NOT_NAMED and not line.is_spare
