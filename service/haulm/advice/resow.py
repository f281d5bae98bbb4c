"""Re-sowing: until when a tray that has not come up can be sown again and still keep what was promised from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

import numpy as np

from haulm.farm.words import Method
from haulm.forecast.back_plan import Starts, chance_in_flower, last_sowing, sow_days
from haulm.forecast.inputs import Sowing
from haulm.forecast.supply import Forecast
from haulm.horticulture.germination import (
    HEATED_SHARE_OF_DAYS,
    SPREAD_HEATED,
    SPREAD_OUTDOORS,
    SURVIVE_TO_PLANTING,
    germination_delay,
)

_Z90 = np.array([1.2815515655446004])


@dataclass(frozen=True, slots=True)
class PromisedStems:
    """Stems promised from a batch: the line, and the last day on which they can be in flower for it."""

    line: str
    needed: date
    stems: int


@dataclass(frozen=True, slots=True)
class Resow:
    """What a tray that has come up thin asks for.

    Attributes:
        check_on: nine trays in ten are up by then.
        places_short: places that have to be sown again for the plants wanted; 0 where enough are up.
        by: the last day on which a new sowing saves every promise that can still be saved; None where none can.
        by_line: the same for each promised line; None where it is too late for it.
        last_useful: the last sowing of the year, whatever was promised.
    """

    check_on: date
    places_short: int
    by: date | None
    by_line: dict[str, date | None]
    last_useful: date | None

    @property
    def is_too_late(self) -> bool:
        """Whether something was promised and no new sowing can save any of it."""
        return bool(self.by_line) and self.by is None


def resow(forecast: Forecast, sowing: Sowing, promised: Sequence[PromisedStems], *, today: date, level: float) -> Resow:
    """When to look at a tray, how much of it is missing, and until when sowing again helps.

    Args:
        forecast: for its seasons.
        sowing: the batch, with what was seen of it and its sow date.
        promised: what was promised from it.
        today: no new sowing lies before it.
        level: how sure a new sowing has to be in flower in time, between 0 and 1.

    Returns:
        The advice. No date in it lies after the last useful sowing of the year.

    Raises:
        ClimateMissing: the farm has given no climate.

    Source: the latest day whose chance of flower by the day needed is still high enough; in the same seasons and with
    the same draws as the batch itself.
    """
    assert sowing.sow_date is not None, "a tray has been sown on a day"
    check_on = check_day(sowing)
    first = max(today, sowing.sow_date)
    days = sow_days(first, max([item.needed for item in promised], default=first + timedelta(days=180)))
    starts = Starts(forecast, sowing)
    last = last_sowing(starts, days, level=level).advised if days else None
    by_line = {item.line: _latest(starts, days, (item.needed, last), level) for item in promised}
    savable = [day for day in by_line.values() if day is not None]
    by = min(savable, default=None) if promised else last
    return Resow(check_on, places_short(sowing), by, by_line, last)


def check_day(sowing: Sowing) -> date:
    """The day by which nine trays in ten have come up, as far as they will.

    Args:
        sowing: the batch, with a sow date.

    Returns:
        A date.

    Source: the 90th percentile of the germination delay, as the forecast draws it.
    """
    assert sowing.sow_date is not None, "a tray has been sown on a day"
    heated = sowing.method is Method.HEATED
    mean = sowing.crop.germination_days * (HEATED_SHARE_OF_DAYS if heated else 1.0)
    delay = germination_delay(mean, SPREAD_HEATED if heated else SPREAD_OUTDOORS, _Z90)
    return sowing.sow_date + timedelta(days=ceil(float(delay[0])))


def places_short(sowing: Sowing) -> int:
    """Places to sow again so that the plants wanted stand in the bed.

    Args:
        sowing: the batch; the places up are its final count, else the highest count so far, else none.

    Returns:
        A number of places, 0 where enough are up or no plants were asked for.

    Source: nine in ten places that come up live until planting (from memory); a new sowing germinates as usual.
    """
    if sowing.plants is None or sowing.crop.germination_share <= 0:
        return 0
    evidence = sowing.evidence
    up = evidence.germinated_final if evidence.germinated_final is not None else evidence.germinated_so_far or 0
    lacking = sowing.plants / SURVIVE_TO_PLANTING - up
    return max(0, ceil(lacking / sowing.crop.germination_share))


def _latest(starts: Starts, days: Sequence[date], limits: tuple[date, date | None], level: float) -> date | None:
    needed, last = limits
    for day in reversed(days):
        if (last is None or day <= last) and chance_in_flower(starts, day, needed=needed) >= level:
            return day
    return None
