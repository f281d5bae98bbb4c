"""Builders for tests of advice: dated lines, outlooks, gaps, and a search whose proofs are a small model of a farm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from haulm.advice.options.candidates import Candidate
from haulm.advice.options.need import SURE_MARGIN
from haulm.advice.options.option import Proof, Worth
from haulm.advice.options.search import Search
from haulm.advice.options.sketch import PROBE_PLACES, Look, Sketch
from haulm.advice.options.steps import Terms
from haulm.advice.options.worth import Gains
from haulm.advice.room import Room
from haulm.advice.shortfalls import Gap, LineOutlook, gaps
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.words import LineClass, Method
from support.forecast_builders import GRASS

TODAY = date(2027, 3, 15)
MONDAY = date(2027, 7, 5)
SITE = Site("Test farm", 52.0)
PLACES_PER_TRAY = 20


def dated_line(line: str = "l1", *, due: date = MONDAY, stems: int = 20, **changes: Any) -> DatedLine:
    """A line of a standing order of grass."""
    made = DatedLine(line, f"o-{line}", "anna", due, stems, LineClass.STANDING, 1, TODAY, Product("grass"))
    return replace(made, **changes)


def outlook(confidence: float, line: DatedLine | None = None, *, missing: float = 5.0) -> LineOutlook:
    """A line with its confidence."""
    return LineOutlook(dated_line() if line is None else line, confidence, missing)


def one_gap(lines: Sequence[DatedLine], confidence: float = 0.5) -> Gap:
    """The one gap that these lines make."""
    (found,) = gaps([outlook(confidence, line) for line in lines], 0.8)
    return found


@dataclass
class SmallModel:
    """A gap of weekly lines in one sure season: a place gives a stem in each week it flowers in, no earlier, no later.

    Attributes:
        weeks: number of weekly lines, each lacking `stems`.
        flowers_weeks: weeks a sowing flowers, from `weeks_to_flower` after it on.
        gives: stems a place really gives a week, where the look promises one.
        asked: the sets of batches that were proved, in order.
    """

    weeks: int = 1
    stems: int = 30
    weeks_to_flower: int = 10
    flowers_weeks: int = 2
    gives: float = 1.0
    first_due: date = MONDAY
    asked: list[tuple[Batch, ...]] = field(default_factory=list)

    def search(
        self, methods: Sequence[Method] = (Method.DIRECT,), *, beds: Sequence[Bed] = (), **changes: Any
    ) -> Search:
        """A search for the sowings of this model."""
        levels = (0.8 + SURE_MARGIN,) * self.weeks
        sketch = Sketch(
            missing=np.full((self.weeks, 1), self.stems, np.float32),
            most=np.full(self.weeks, np.inf, np.float32),
            weights=np.ones(1),
            levels=np.array(levels),
        )
        made = Search(
            levels=levels,
            before=self.before,
            crops={"grass": GRASS},
            room=Room(tuple(beds), (), ()),
            batches=(),
            runs=tuple(self._run(method) for method in methods),
            look=self._look,
            sketch=sketch,
            prove=self.prove,
            worth=self.worth,
            terms=Terms(SITE, TODAY, PLACES_PER_TRAY),
        )
        return replace(made, **changes)

    def worth(self, batches: tuple[Batch, ...], after: Proof) -> Worth:
        """Three for the seed of a place, fifty for a stem, and nothing left over."""
        gains = Gains((self.stems,) * self.weeks, (50.0,) * self.weeks, self.before)
        return gains.worth(after, spent=3 * sum(batch.places for batch in batches))

    @property
    def before(self) -> Proof:
        """The gap as it is."""
        return Proof((0.0,) * self.weeks, float(self.weeks * self.stems))

    def prove(self, batches: tuple[Batch, ...]) -> Proof:
        """The share of the lines filled stands for the confidence of the least sure one."""
        self.asked.append(batches)
        left = [self.stems - sum(self._real(batch, week) for batch in batches) for week in range(self.weeks)]
        missing = [max(0.0, stems) for stems in left]
        sure = 1.0 if not any(missing) else 0.5 * (1 - sum(missing) / (self.weeks * self.stems))
        return Proof((sure,) * self.weeks, sum(missing))

    def _real(self, batch: Batch, week: int) -> float:
        day = batch.sow_date or batch.plant_out_date
        assert day is not None
        return self.gives * batch.places * self._flowers(day, week)

    def _flowers(self, day: date, week: int) -> bool:
        first = (day - self.first_due).days // 7 + self.weeks_to_flower
        return first <= week < first + self.flowers_weeks

    def _run(self, method: Method) -> tuple[Candidate, ...]:
        last = self.first_due + timedelta(weeks=self.weeks)
        days = (TODAY + timedelta(weeks=week) for week in range(60))
        return tuple(Candidate(Product("grass"), method, day) for day in days if day < last)

    def _look(self, candidate: Candidate) -> Look:
        weekly = [PROBE_PLACES * self._flowers(candidate.day, week) for week in range(-60, self.weeks)]
        running = np.cumsum(np.array(weekly, np.float32))[:, np.newaxis]
        return Look(candidate, running[-self.weeks - 1 : -1], running[-self.weeks :])
