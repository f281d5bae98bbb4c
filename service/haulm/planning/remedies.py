"""What can still close a gap of a plan: the pure search of advice, fed with looks and proofs from real matches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from haulm.advice.options.candidates import Candidate, candidates
from haulm.advice.options.last_resorts import buying_in, telling
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.succession import PROBE_PLACES, Look, Search, best_sowings, places_needed
from haulm.advice.pricing import answering
from haulm.advice.room import Room
from haulm.advice.shortfalls import Gap
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.matching.supply import FloatArray, LotDays, Pool
from haulm.matching.windows import accepted_lots, window_of
from haulm.planning.growth import Growth, sowing_of
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner

_KINDS_TRIED = 4
"""For a choice, the kinds that flower soonest are tried; the rest would only come later."""


def remedies(planner: Planner, plan: Plan, gap: Gap, level: float) -> tuple[Option, ...]:
    """The options of a gap that can still help, proved ones first, then by decide-by date, latest first."""
    before = Proof(gap.confidence, gap.expected_missing)
    farm = plan.farm
    found: list[Option] = []
    if plan.growth.forecast is not None and plan.growth.forecast.seasons is not None:
        search = Search(
            gap=gap,
            level=level,
            before=before,
            crops=dict(plan.crops),
            room=Room.of(farm.beds, plan.growth.seen.batches, plan.crops),
            batches=farm.batches,
            prove=lambda batches: _proof(planner, plan, gap, batches),
            cost=lambda places: places * farm.site.prices.seed_minor_per_place or None,
        )
        found = best_sowings(search, _looks(plan, gap, level))
    notice = {customer.key: customer.notice_days for customer in farm.customers}
    found.append(buying_in(gap, before, today=plan.today, condition_days=farm.site.condition_days))
    found.append(telling(gap, before, notice_days=notice, today=plan.today))
    open_still = [option for option in found if option.decide_by >= plan.today]
    return tuple(sorted(open_still, key=lambda option: (not option.closes, -option.decide_by.toordinal(), option.kind)))


def rule_of_thumb_day(plan: Plan, gap: Gap) -> date:
    """The day by which a sowing would have to be made, by the calendar alone: the first due day, less the weeks to
    flower of the quickest kind that answers, less a week to be safe; once that has passed, the day to tell by.

    Source: growers' usual sow-by rule (common practice). The options of the gap give the proved day.
    """
    first = min(short.line.due for short in gap.shortfalls)
    weeks = [plan.crops[product.variety].weeks_to_flower for product in _products(plan, gap.shortfalls[0].line)]
    if weeks:
        sow_by = first - timedelta(days=round(min(weeks) * 7) + 7)
        if sow_by >= plan.today:
            return sow_by
    notice = {customer.key: customer.notice_days for customer in plan.farm.customers}
    return telling(gap, Proof(0.0, 0.0), notice_days=notice, today=plan.today).decide_by


def _proof(planner: Planner, plan: Plan, gap: Gap, batches: tuple[Batch, ...]) -> Proof:
    """The gap's lines in a re-match of the farm with batches added."""
    trial = planner.trial(plan, replace(plan.farm, batches=(*plan.farm.batches, *batches)))
    wanted = {(short.line.line, short.line.due) for short in gap.shortfalls}
    outlooks = [trial.outlook_of(line) for line in trial.result.lines if _is_wanted(line, wanted)]
    return Proof(min(o.confidence for o in outlooks), sum(o.expected_missing for o in outlooks))


def _is_wanted(line: DatedLine, wanted: set[tuple[str, date]]) -> bool:
    return not line.is_spare and (line.line, line.due) in wanted


def _looks(plan: Plan, gap: Gap, level: float) -> Iterator[Look]:
    lines = [short.line for short in gap.shortfalls]
    missing = np.array([plan.missing(line) for line in lines], np.float64)
    last_due = max(line.due for line in lines)
    for product in _products(plan, lines[0])[:_KINDS_TRIED]:
        crop = plan.crops[product.variety]
        for candidate in candidates(plan.farm.site, crop, product, today=plan.today, last_due=last_due):
            usable = _usable(plan, lines, candidate)
            places = places_needed(missing, usable, plan.result.supply.weights, level)
            if places is not None:
                yield Look(candidate, places)


def _products(plan: Plan, line: DatedLine) -> list[Product]:
    """The products that answer a line, the quickest to flower first."""
    if line.product is not None:
        return [line.product]
    assert line.choice is not None
    found = answering(line.choice, plan.crops)
    return sorted(found, key=lambda product: (plan.crops[product.variety].weeks_to_flower, product))


def _usable(plan: Plan, lines: list[DatedLine], candidate: Candidate) -> FloatArray:
    """Stems of PROBE_PLACES places that each line could use, shape (lines, seasons) [stems]."""
    growth: Growth = plan.growth
    assert growth.forecast is not None
    crop = growth.crops[candidate.product.variety]
    sowing = sowing_of(plan.farm, candidate.batch("look", PROBE_PLACES), crop)
    alone = replace(growth, field={}, known={}).with_sowing(sowing)
    found = np.zeros((len(lines), plan.result.supply.seasons))
    for pool in alone.supply.pools:
        for row, line in enumerate(lines):
            if pool.length_cm >= line.min_length_cm:
                found[row] += _accepted_stems(pool, line, growth)
    return found


def _accepted_stems(pool: Pool, line: DatedLine, growth: Growth) -> FloatArray:
    days: LotDays = pool.days
    mask = accepted_lots(window_of(line), days, pool.product, growth.keeping)
    return np.asarray(sum(block.stems[mask].sum(axis=0) for block in pool.blocks), np.float64)
