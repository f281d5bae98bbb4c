"""The season that the rehearsal hides from its farm: what really becomes ready, is cut, and could have been sent."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.evidence.climate import climate_of
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.weeks import last_of
from haulm.farm.words import Form
from haulm.forecast.days import StemsByLength
from haulm.forecast.supply import Forecast, forecast
from haulm.jobs.bucket_day.bucket_lines import LineDue
from haulm.jobs.bucket_day.confirmed_lists import settled_of
from haulm.jobs.desk.desk import Desk
from haulm.matching.allocation.match import match
from haulm.matching.supply import Block, Pool, Supply, standing_lots
from haulm.planning.growth import sowing_of
from haulm.planning.keeping import keeping_of
from haulm.planning.known import PoolKey, known_blocks
from haulm.planning.settled import NOTHING_SETTLED
from haulm.rehearsed_weeks import RehearsedLine

_Days = np.ndarray[tuple[int], np.dtype[np.int64]]
_SEASONS = 100
"""So many are drawn where one of another seed is hidden; which of them it is, the seed says."""


@dataclass
class Truth:
    """What really becomes ready in the one hidden season, less what was cut.

    Attributes:
        first_day: the day of the first place of the arrays.
        crops: every variety.
        drawn: the seasons of which one is hidden.
        season: its number.
        ready: stems by product and least length [cm] (0: not graded), and by day; dried ones on the day they are dry.
        cut: stems cut, by variety, length and day.
    """

    first_day: date
    crops: Mapping[str, Crop]
    drawn: Forecast
    season: int
    ready: dict[PoolKey, _Days]
    cut: Counter[tuple[str, int, int]] = field(default_factory=Counter)

    def standing(self, variety: str, day: date) -> int:
        """Stems of a kind that stand ready on a day."""
        ages = self.crops[variety].field_life.ages()
        return sum(stems for _, _, stems in self._lots(variety, day, 0, ages))

    def take(self, variety: str, day: date, stems: int, *, least_cm: int = 0, stage: str | None = None) -> Counter[int]:
        """Cut up to so many stems that are long enough and in the stage, the shortest class first, then the oldest.

        Returns:
            The stems there were, by least length.
        """
        life = self.crops[variety].field_life
        ages = life.ages(life.stage(stage) if stage is not None else None)
        taken: Counter[int] = Counter()
        for length, place, there in self._lots(variety, day, least_cm, ages):
            now = min(stems - taken.total(), there)
            self.cut[variety, length, place] += now
            taken[length] += now
        return +taken

    def grow(self, farm: Farm, batch: Batch) -> None:
        """Let one more batch grow in the same season."""
        days = len(next(iter(self.ready.values())))
        sowing = sowing_of(farm, batch, self.crops[batch.variety])
        _add(self.ready, batch, self.drawn.batch_ready_stems(sowing, self.first_day, days), self.season)

    def pools(self, stock: Mapping[PoolKey, Block]) -> Iterator[Pool]:
        """All that becomes ready, cut or not, with stock, as pools of the match."""
        for key in sorted({*self.ready, *stock}):
            blocks = [stock[key]] if key in stock else []
            if key in self.ready:
                stems = self.ready[key].astype(np.int32)[:, np.newaxis]
                blocks.append(Block(standing_lots(self.first_day, len(stems)), stems))
            yield Pool(*key, tuple(blocks))

    def _lots(self, variety: str, day: date, least_cm: int, ages: range) -> list[tuple[int, int, int]]:
        """Length, place and stems of what stands on a day."""
        last = (day - self.first_day).days
        return [
            (length, place, int(stems[place]) - self.cut[variety, length, place])
            for (product, length), stems in sorted(self.ready.items())
            if product == Product(variety, Form.FRESH) and length >= least_cm
            for place in range(max(0, last - ages.stop + 1), min(last - ages.start + 1, len(stems)))
        ]


def hidden_season(desk: Desk, seed: int | None = None, frosts: tuple[date, ...] = ()) -> Truth:
    """One season of the farm as it stands today.

    Args:
        desk: the farm, and its planner.
        seed: of which draw, and which season of it, so that the farm's own draw knows nothing of it; None for the
            season of the farm's own draw whose stems in all are in the middle.
        frosts: nights of frost that come in it.
    """
    plan = desk.plan()
    growth = plan.growth
    assert growth.forecast is not None, "the demo farm has a forecast"
    setting = replace(growth.forecast.setting, frosts=frosts)
    if seed is not None:
        setting = replace(setting, seasons=_SEASONS, seed=seed)
    drawn = forecast(growth.forecast.sowings, climate_of(plan.farm), setting)
    stems = {
        batch.key: (batch, drawn.stems_of(batch.key, growth.first_day, growth.days)) for batch in growth.seen.batches
    }
    season = _middle(stems.values(), setting.seasons) if seed is None else _chosen(seed)
    ready: dict[PoolKey, _Days] = {}
    for batch, found in stems.values():
        _add(ready, batch, found, season)
    return Truth(growth.first_day, plan.crops, drawn, season, ready)


def possible(lines: Iterable[DatedLine], farm: Farm, truth: Truth, since: date) -> dict[LineDue, int]:
    """What the match gives each line, its spare left out, with the season known from the first day to the last.

    Args:
        lines: all that ask.
        farm: for its rules, and for the stock that it had.
        truth: what really becomes ready.
        since: the first day on which stems can be cut.
    """
    stock = known_blocks(farm.known_stems, NOTHING_SETTLED)
    supply = Supply(tuple(truth.pools(stock)), 1, np.ones(1))
    result = match(lines, supply, keeping_of(farm, truth.crops, since))
    return {
        (line.line, line.due): int(result.filled(place)[0])
        for place, line in enumerate(result.lines)
        if not line.is_spare
    }


def rehearsed_lines(
    desk: Desk, truth: Truth, since: date, said: Mapping[LineDue, tuple[int, int]]
) -> tuple[RehearsedLine, ...]:
    """Each line that was on a list and is still asked, beside what the match gives it with the season known.

    Args:
        desk: the farm as it is after all of it.
        truth: what really became ready.
        since: the first day on which stems could be cut.
        said: of each line on a list what was called theirs on its bucket day, and what it could become [stems].
    """
    farm = desk.store.farm()
    asked = demand(farm, since)
    could = possible(asked, farm, truth, since)
    days = {last_of(due, (farm.site.bucket_day,)) for _, due in said}
    settled = [one for day in days for one in settled_of(desk, day)]
    sent = {(line["line"], one.due): int(line["filled"]) for one in settled for line in one.lines}
    return tuple(
        RehearsedLine(line.order, line.due, line.line, line.stems, *said[key], could[key], sent.get(key, 0))
        for line in asked
        if not line.is_spare and (key := (line.line, line.due)) in said
    )


def _chosen(seed: int) -> int:
    return int(np.random.default_rng(seed).integers(_SEASONS))


def _middle(stems: Iterable[tuple[Batch, StemsByLength]], seasons: int) -> int:
    totals = np.zeros(seasons, np.int64)
    for _, by_length in stems:
        for found in by_length.values():
            totals += found.sum(axis=0, dtype=np.int64)
    return int(np.argsort(totals, kind="stable")[seasons // 2])


def _add(ready: dict[PoolKey, _Days], batch: Batch, stems: StemsByLength, season: int) -> None:
    for length, found in stems.items():
        key = (batch.product, length or 0)
        ready[key] = ready.get(key, np.zeros(len(found), np.int64)) + found[:, season]
