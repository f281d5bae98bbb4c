"""The season that the rehearsal hides from its farm: what really becomes ready, and is cut of it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from haulm.farm.batches import Batch
from haulm.farm.words import Form
from haulm.forecast.supply import Forecast
from haulm.jobs.desk import Desk


@dataclass
class Truth:
    """What really becomes ready: fresh stems by variety and day in the one hidden season, less what was cut."""

    first_day: date
    ready: dict[str, np.ndarray[tuple[int], np.dtype[np.int64]]]
    stand_days: dict[str, int]
    cut: Counter[tuple[str, int]] = field(default_factory=Counter)

    def standing(self, variety: str, day: date) -> int:
        """Stems of a kind that stand ready on a day."""
        return sum(stems for _, stems in self._lots(variety, day))

    def take(self, variety: str, day: date, stems: int) -> int:
        """Cut up to so many stems, the oldest first; gives how many there were."""
        left = stems
        for place, there in self._lots(variety, day):
            taken = min(left, there)
            self.cut[variety, place] += taken
            left -= taken
        return stems - left

    def _lots(self, variety: str, day: date) -> list[tuple[int, int]]:
        ready = self.ready.get(variety)
        if ready is None:
            return []
        last = (day - self.first_day).days
        first = max(0, last - self.stand_days[variety])
        places = range(first, min(last + 1, len(ready)))
        return [(place, int(ready[place]) - self.cut[variety, place]) for place in places]


def hidden_season(desk: Desk) -> Truth:
    """The hidden season: the one whose stems in all are in the middle of those drawn."""
    plan = desk.plan()
    forecast = plan.growth.forecast
    assert forecast is not None, "the demo farm has a forecast"
    first, days = plan.growth.first_day, plan.growth.days
    stems = {batch.key: _stems(forecast, batch, first, days) for batch in plan.growth.seen.batches}
    totals = np.sum([found.sum(axis=0) for found in stems.values()], axis=0)
    season = int(np.argsort(totals, kind="stable")[len(totals) // 2])
    ready: dict[str, np.ndarray[tuple[int], np.dtype[np.int64]]] = {}
    for batch in plan.growth.seen.batches:
        if batch.form is Form.FRESH:
            ready[batch.variety] = ready.get(batch.variety, np.zeros(days, np.int64)) + stems[batch.key][:, season]
    return Truth(first, ready, {key: crop.stand_days for key, crop in plan.crops.items()})


def _stems(forecast: Forecast, batch: Batch, first: date, days: int) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    found = list(forecast.stems_of(batch.key, first, days).values())
    if not found:
        return np.zeros((days, forecast.setting.seasons), np.int64)
    total: np.ndarray[tuple[int, int], np.dtype[np.int64]] = np.sum(np.stack(found), axis=0, dtype=np.int64)
    return total
