"""That no sowing closes a gap any more, against a judge that tries them all on tiny farms."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import pytest

from haulm.advice.options.candidates import Candidate, sowing_rules
from haulm.advice.options.need import SURE_MARGIN
from haulm.advice.options.placing import Full, free_key, placed
from haulm.advice.options.steps import is_sold_as_plugs
from haulm.advice.shortfalls import Gap
from haulm.farm.batches import Batch
from haulm.farm.edits import with_rows
from haulm.farm.words import LifeCycle, Method
from haulm.horticulture.sowing_windows import sowable
from haulm.planning.growth import Drawing
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.remedies import remedies
from haulm.planning.sowing_search import own_products, terms_of
from support.farms_with_gaps import farm_with_gaps
from support.planned_farms import TODAY
from support.scale import count, is_large

FARMS = range(1000, 1000 + count(2, 20))
EVERY_DAYS = count(21, 3)
SIZES = (20, 80, 250, 700, 2000) if is_large() else (80, 700)
SEASONS = Drawing(seasons=100, seed=9)
EXCEPTIONS = count(1, 3)
"""Gaps that the search may leave open though the judge finds a sowing: it takes every second week and few sizes."""


@dataclass(frozen=True)
class Judged:
    """What was looked at: gaps in all, those of which advice says that none closes, sowings tried, exceptions."""

    gaps: int
    open: int
    tried: int
    exceptions: tuple[str, ...]


@pytest.fixture(scope="module")
def judged() -> Judged:
    """Every gap of the farms; of each that advice leaves open every sowing is tried until one closes it."""
    gaps = still_open = tried = 0
    exceptions: list[str] = []
    for seed in FARMS:
        planner = Planner(SEASONS)
        plan = planner.plan(farm_with_gaps(random.Random(seed)), TODAY)
        for gap in plan.gaps(None):
            gaps += 1
            if any(option.closes and option.batches for option in remedies(plan, gap)) or _closes_dear(plan, gap):
                continue
            still_open += 1
            for batch in sowings(plan, gap):
                tried += 1
                if closes(planner, plan, gap, batch):
                    exceptions.append(f"farm {seed}, {gap.key}: {batch}")
                    break
    return Judged(gaps, still_open, tried, tuple(exceptions))


def _closes_dear(plan: Plan, gap: Gap) -> bool:
    """Whether a sowing closes it and is not shown, since it is not worth it beside another way."""
    return any(option.closes for option in remedies(plan, gap) if option.kind not in ("make_room", "buy_in", "tell"))


def sowings(plan: Plan, gap: Gap) -> Iterator[Batch]:
    """Every method, day and size by the calendar, as far as there is room; the largest first."""
    lines = [short.line for short in gap.shortfalls]
    last = max(line.due for line in lines)
    days = [TODAY + timedelta(days=ahead) for ahead in range(0, (last - TODAY).days, EVERY_DAYS)]
    for product in own_products(plan, lines[0]):
        for method in (Method.HEATED, Method.COVER, Method.DIRECT, Method.PLUGS, Method.TUBER):
            for day in days:
                candidate = Candidate(product, method, day)
                if _in_season(plan, candidate):
                    yield from _sized(plan, candidate)


def _in_season(plan: Plan, candidate: Candidate) -> bool:
    site, crop = plan.farm.site, plan.crops[candidate.product.variety]
    bulb = crop.life_cycle is LifeCycle.BULB_TUBER
    if (candidate.method is Method.TUBER) is not bulb or not site.is_work_day(candidate.day):
        return False
    if candidate.method is Method.PLUGS:
        sold = is_sold_as_plugs(crop, site.costs, plan.farm.batches)
        if not sold or candidate.day < terms_of(plan).here_from(crop, Method.PLUGS):
            return False
    rules = sowing_rules(site, crop.life_cycle)
    return sowable(candidate.method, candidate.day, life_cycle=crop.life_cycle, latitude_deg=site.latitude, rules=rules)


def _sized(plan: Plan, candidate: Candidate) -> Iterator[Batch]:
    crop = plan.crops[candidate.product.variety]
    step = terms_of(plan).step(crop, candidate.method)
    for places in sorted({step.rounded(size) for size in SIZES}, reverse=True):
        batch = placed(
            candidate.batch(free_key(candidate, plan.farm.batches), places), crop, plan.room, plan.farm.batches
        )
        if not isinstance(batch, Full):
            yield batch


def closes(planner: Planner, plan: Plan, gap: Gap, batch: Batch) -> bool:
    """Whether every line of a gap is as sure as asked, with the search's margin, on the whole farm with a batch."""
    trial = planner.trial(plan, with_rows(plan.farm, [batch]))
    return all(
        trial.outlook_of(short.line).confidence >= min(1.0, short.level + SURE_MARGIN) for short in gap.shortfalls
    )


def test_what_is_said_to_be_open_no_sowing_closes(judged: Judged) -> None:
    """Checked against every method, day and size, each with the whole farm matched again."""
    assert judged.gaps >= len(FARMS)
    assert len(judged.exceptions) <= EXCEPTIONS, judged.exceptions


def test_the_judge_had_something_to_judge(judged: Judged) -> None:
    assert judged.open == 0 or judged.tried > 0
    assert date(2027, 3, 15) == TODAY
