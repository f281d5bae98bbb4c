"""Money per metre of bed: what the stems of each batch bring from today on, by the room and the time it takes.

Stems are counted oldest first, as they are used: each line and each hope takes what it was given from the oldest lots
that serve it, and what a lot brings is shared by the batches that gave it. What nobody takes brings nothing here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import timedelta
from typing import NamedTuple

import numpy as np

from haulm.advice.kept_prices import bunch_price_of
from haulm.advice.options.worth import stay_weeks
from haulm.advice.pricing import PriceList
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.orders import OrderLine, StandingLine
from haulm.farm.weeks import Week
from haulm.farm.words import LineClass
from haulm.matching.supply import FloatArray, Pool, StemArray
from haulm.matching.windows import Window, accepted_lots, window_of
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import costing_of
from haulm.planning.usual import hoped_for, sale_outlooks
from haulm.planning.usual_figures import BedMoney, Hoped, UsualFigures

_SEASONS_LOOKED_AT = 100
"""So many seasons, evenly picked, are enough for what a bed brings on average."""
_YEAR = timedelta(days=364)
_PROMISED, _HOPED, _STALL = range(3)


class _Taker(NamedTuple):
    """Somebody who takes stems of a pool: the window, the stems in each season looked at, the price, from whom."""

    window: Window
    stems: StemArray
    price: float
    whose: int


def usual_figures(plan: Plan) -> UsualFigures:
    """Everything that is said of the farm's usual sales; worked out once for a version's rows of them."""
    return plan.remembered_usual.of(plan.farm.usual_sales, lambda: _figures(plan))


def _figures(plan: Plan) -> UsualFigures:
    found = hoped_for(plan)
    return UsualFigures(found, sale_outlooks(plan, found), bed_money(plan, found))


def bed_money(plan: Plan, found: Hoped) -> tuple[BedMoney, ...]:
    """What every batch that stands or will stand in a bed brings, the most for a metre and week first; ties by key.

    Batches that give no stem in the days of the forecast, or whose days are not known, are left out.
    """
    drawn = plan.growth.forecast
    if drawn is None:
        return ()
    every = max(1, plan.result.supply.seasons // _SEASONS_LOOKED_AT)
    lots = _lot_money(plan, found, every)
    rows = [row for batch in plan.growth.seen.batches if (row := _of_batch(plan, batch, lots, every)) is not None]
    return tuple(sorted(rows, key=lambda row: (-row.per_metre_week, row.batch.key)))


class _LotMoney(NamedTuple):
    """What a stem of the lots of a pool brings, by ready row and season looked at.

    Attributes:
        minor: from each of promises, hopes and the stall, for a stem, shape (3, days, seasons) [minor units].
        sold: the share of the stems that is sold, shape (days, seasons), 0-1.
    """

    minor: FloatArray
    sold: FloatArray


def _lot_money(plan: Plan, found: Hoped, every: int) -> dict[tuple[object, int], _LotMoney]:
    takers = _takers(plan, found, every)
    money: dict[tuple[object, int], _LotMoney] = {}
    for place, pool in enumerate(plan.result.supply.pools):
        if (pool.product, pool.length_cm) in plan.growth.field:
            money[pool.product, pool.length_cm] = _of_pool(plan, pool, takers.get(place, []), every)
    return money


def _of_pool(plan: Plan, pool: Pool, takers: list[_Taker], every: int) -> _LotMoney:
    """Oldest lots first, those who are due first before the others."""
    seasons = len(range(0, plan.result.supply.seasons, every))
    stems = np.concatenate([_thinned(block.stems, every, seasons) for block in pool.blocks]).astype(np.float64)
    left, oldest = stems.copy(), np.argsort(pool.days.ready, kind="stable")
    brought = np.zeros((3, *stems.shape))
    for taker in sorted(takers, key=lambda taker: taker.window.due):
        accepted = accepted_lots(taker.window, pool.days, pool.product, plan.growth.keeping)
        rows = oldest[accepted[oldest]]
        upto = np.minimum(np.cumsum(left[rows], axis=0), taker.stems)
        given = np.diff(upto, axis=0, prepend=0.0)
        left[rows] -= given
        brought[taker.whose][rows] += given * taker.price
    return _by_day(plan, pool, brought, stems, left)


def _by_day(plan: Plan, pool: Pool, brought: FloatArray, stems: FloatArray, left: FloatArray) -> _LotMoney:
    """What a field stem brings by the day it became ready; counted stock is nobody's batch."""
    days = plan.growth.days
    minor, sold = np.zeros((3, days, stems.shape[1])), np.zeros((days, stems.shape[1]))
    whole = np.maximum(stems, 1.0)
    start = 0
    for block in plan.growth.field[pool.product, pool.length_cm]:
        size = len(block.lots)
        rows = slice(start, start + size)
        first = (block.lots[0].ready - plan.growth.first_day).days
        minor[:, first : first + size] = brought[:, rows] / whole[rows]
        sold[first : first + size] = (stems[rows] - left[rows]) / whole[rows]
        start += size
    return _LotMoney(minor, sold)


def _of_batch(plan: Plan, batch: Batch, lots: Mapping[tuple[object, int], _LotMoney], every: int) -> BedMoney | None:
    drawn, growth = plan.growth.forecast, plan.growth
    costing = costing_of(plan)
    stay = costing.bed_stay(batch, plan.room)
    if drawn is None or stay is None:
        return None
    stay = replace(stay, first=max(stay.first, plan.today), last=min(stay.last, plan.today + _YEAR))
    weights = plan.result.supply.weights[::every]
    weights = weights / weights.sum()
    minor, sold, given = np.zeros(3), 0.0, 0.0
    product = next((latent.product for latent in drawn.latents if latent.key == batch.key), None)
    for length, stems in drawn.stems_of(batch.key, growth.first_day, growth.days, every=every).items():
        known = lots.get((product, length or 0))
        given += float(stems.sum(axis=0) @ weights)
        if known is not None:
            minor += (known.minor * stems).sum(axis=1) @ weights
            sold += float((known.sold * stems).sum(axis=0) @ weights)
    if not given:
        return None
    ahead = batch.sow_date is not None and batch.sow_date >= plan.today
    cost = costing.spent((batch,)) + costing.work((batch,)) if ahead else 0.0
    promised, hoped, stall = (float(part) for part in minor)
    return BedMoney(batch, promised, hoped, stall, cost, given, sold, stay.amount, stay_weeks(stay))


def _takers(plan: Plan, found: Hoped, every: int) -> dict[int, list[_Taker]]:
    """Who takes of each pool."""
    takers: dict[int, list[_Taker]] = {}
    prices = dict(_line_prices(plan))
    for place, line in enumerate(plan.result.lines):
        whose = _STALL if line.line_class is LineClass.STALL else _PROMISED
        for take in plan.result.takes[place]:
            taker = _Taker(window_of(line), _of_seasons(take.stems, every), prices.get(line.line, 0.0), whose)
            takers.setdefault(take.pool, []).append(taker)
    for ask, takes, price in zip(found.asks, found.takes, found.prices, strict=True):
        for take in takes:
            takers.setdefault(take.pool, []).append(_Taker(ask.window, _of_seasons(take.stems, every), price, _HOPED))
    return takers


def _line_prices(plan: Plan) -> Iterator[tuple[str, float]]:
    """The price of a stem of each line that asks, by its key: agreed, kept, or the list's [minor units]."""
    prices = PriceList(plan.farm.prices, plan.crops, plan.farm.site.prices)
    known: tuple[OrderLine | StandingLine, ...] = (*plan.farm.standing_lines, *plan.farm.order_lines)
    lines = {line.key: line for line in known}
    asked: dict[str, DatedLine] = {}
    for dated in plan.result.lines:
        asked.setdefault(dated.line, dated)
    for key, dated in asked.items():
        line = lines[key]
        if isinstance(line, OrderLine) and line.agreed_price_minor is not None:
            yield key, line.agreed_price_minor / (line.stems + line.spare)
        else:
            price = bunch_price_of(line, prices, customer=dated.customer, week=Week.of(dated.due))
            yield key, float(price.stem)


def _of_seasons(stems: StemArray, every: int) -> StemArray:
    return stems if stems.size == 1 else stems[::every]


def _thinned(stems: StemArray, every: int, seasons: int) -> StemArray:
    return np.broadcast_to(stems, (len(stems), seasons)) if stems.shape[1] == 1 else stems[:, ::every]
