"""The honesty board: what was promised and forecast, as it was said, against what came."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from haulm.evidence.came import Came, came
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.forecast.scoring import (
    Bin,
    Judged,
    Standing,
    inside,
    pinball_skill,
    ranks_among_stated,
    reliability,
    standing,
)
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.keep_forecast import KEPT
from haulm.store.journal import Promise
from haulm.store.words import PromiseState

_EDGES = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
_TENTHS = 10
_SEED = 1


@dataclass(frozen=True, slots=True)
class Said:
    """One forecast of a product's week: stated levels and stems, the naive rule, and what came."""

    product: Product
    week: Week
    levels: tuple[float, ...]
    stems: tuple[int, ...]
    rule: int
    came: Came


@dataclass(frozen=True, slots=True)
class HonestyBoard:
    """How what was said stood up.

    Attributes:
        promises: by the level asked, how the promises stand.
        points: promises by stated confidence, and how many were kept: a reliability plot.
        within_80, within_50: how many forecast weeks held what came.
        skill: pinball skill over the weeks rule, of the weeks known in full; None where there are none.
        ranks: share of those weeks in each tenth of what was stated; even where the spread is right.
        weeks_known: forecast weeks known in full.
    """

    promises: tuple[Standing, ...]
    points: tuple[Bin, ...]
    within_80: Judged
    within_50: Judged
    skill: float | None
    ranks: tuple[float, ...]
    weeks_known: int


def honesty_board(desk: Desk) -> HonestyBoard:
    """Score everything said of days and weeks that are over."""
    today = desk.today()
    outcomes = _outcomes(desk.store.promises(), today)
    by_level: dict[float, dict[str, list[bool]]] = {}
    for level, due, held in outcomes:
        by_level.setdefault(round(level, 2), {}).setdefault(str(due.year), []).append(held)
    promises = tuple(
        standing(level, {year: Judged(sum(held), len(held)) for year, held in sorted(years.items())})
        for level, years in sorted(by_level.items())
    )
    stated = np.array([level for level, _, _ in outcomes])
    kept = np.array([held for _, _, held in outcomes], dtype=bool)
    said = tuple(_said(desk, today))
    known = [one for one in said if not one.came.at_least]
    return HonestyBoard(
        promises=promises,
        points=reliability(stated, kept, _EDGES) if outcomes else (),
        within_80=_within(said, 0.1, 0.9),
        within_50=_within(said, 0.25, 0.75),
        skill=_skill(known),
        ranks=_ranks(known),
        weeks_known=len(known),
    )


def _outcomes(records: Iterable[Promise], today: date) -> list[tuple[float, date, bool]]:
    """Level, due date, and whether it was kept, of each promise that fell due: the last hold or contract, as made.

    A promise that was let go, or withdrawn before it fell due, is none.
    """
    last: dict[tuple[str, date], Promise] = {}
    found: list[tuple[float, date, bool]] = []
    for record in records:
        key = (record.line, record.due)
        made = last.get(key)
        if record.state is PromiseState.DELIVERED:
            if made is not None and made.confidence is not None and record.due < today:
                found.append((made.confidence, record.due, record.stems >= made.stems))
            last.pop(key, None)
        elif record.state in (PromiseState.HELD, PromiseState.CONTRACTED):
            last[key] = record
        elif record.state is not PromiseState.SETTLED:
            last.pop(key, None)
    return found


def _said(desk: Desk, today: date) -> Iterable[Said]:
    """Of each product and week that is over, the forecast that was kept at the longest lead."""
    farm = desk.store.farm()
    seen: set[tuple[str, str]] = set()
    for entry in desk.store.entries():
        if entry.kind != KEPT:
            continue
        levels = tuple(float(level) for level in entry.facts["levels"])
        for row in entry.facts["rows"]:
            key = (row["product"], row["week"])
            week = Week.parse(row["week"])
            if key not in seen and week.plus(1).monday <= today:
                seen.add(key)
                yield _one(farm, row, week, levels)


def _one(farm: Farm, row: Mapping[str, Any], week: Week, levels: tuple[float, ...]) -> Said:
    product = Product.parse(row["product"])
    return Said(product, week, levels, tuple(row["stems"]), int(row["rule"]), came(farm, product, week))


def _within(said: tuple[Said, ...], low: float, high: float) -> Judged:
    if not said:
        return Judged(0, 0)
    lows, highs = (np.array([one.stems[one.levels.index(at)] for one in said], float) for at in (low, high))
    return inside(
        lows,
        highs,
        np.array([one.came.stems for one in said], float),
        np.array([one.came.at_least for one in said], dtype=bool),
    )


def _arrays(known: list[Said]) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    stated = np.array([one.stems for one in known], float)
    return stated, np.array(known[0].levels), np.array([one.came.stems for one in known], float)


def _skill(known: list[Said]) -> float | None:
    if not known:
        return None
    stated, levels, stems = _arrays(known)
    found = pinball_skill(stated, levels, stems, np.array([one.rule for one in known], float))
    return found if np.isfinite(found) else None


def _ranks(known: list[Said]) -> tuple[float, ...]:
    if not known:
        return ()
    ranks = ranks_among_stated(*_arrays(known), seed=_SEED)
    counts = np.histogram(ranks, bins=_TENTHS, range=(0, 1))[0]
    return tuple((counts / len(known)).tolist())
