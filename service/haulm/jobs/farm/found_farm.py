"""Found the farm at a place, or move it there: its hours, its months and its frost days, as she has corrected them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.farm.site import FrostDates, MonthDay, MonthlyTemperatures, Site
from haulm.farm.words import Weekday
from haulm.forecast.inputs import DateLevels
from haulm.jobs.farm.change_settings import change_settings
from haulm.jobs.farm.propose_place import ProposedPlace, frosts_of
from haulm.store.unit_of_work import UnitOfWork

_ANY_YEAR = 2027
"""A year of 365 days: frost days are moved along it."""


@dataclass(frozen=True, slots=True)
class Founding:
    """What is said of the farm on its first page.

    Attributes:
        name: its name.
        currency: of all its prices, by ISO 4217.
        min_c, max_c: mean lowest and highest temperature by month, as proposed or corrected [deg C].
        cut_days: days on which stems are cut.
        last_frost, first_frost: the day in an ordinary year where she says another than was shown; None: as shown.
    """

    name: str
    currency: str
    min_c: tuple[float, ...]
    max_c: tuple[float, ...]
    cut_days: tuple[Weekday, ...]
    last_frost: MonthDay | None = None
    first_frost: MonthDay | None = None


def found_farm(work: UnitOfWork, proposed: ProposedPlace, said: Founding, *, before: Site | None, today: date) -> Site:
    """Write the farm's place; where there is no farm yet, this begins it. A farm keeps its currency when it moves.

    Raises:
        FolderRefused: something of it is not accepted.
    """
    place = proposed.place
    months = MonthlyTemperatures(said.min_c, said.max_c)
    site = before or Site(said.name, place.latitude_deg, currency=said.currency)
    site = replace(
        site,
        name=said.name,
        latitude=place.latitude_deg,
        timezone=place.timezone,
        cut_days=said.cut_days,
        temperatures=months,
        frost=frost_dates(place.latitude_deg, said, today) if _are_twelve(said.min_c, said.max_c) else None,
    )
    return change_settings(work, site, is_first=before is None)


def frost_dates(latitude_deg: float, said: Founding, today: date) -> FrostDates | None:
    """The frost days of the months, moved to the days she says; None where most winters have none."""
    last, first = frosts_of(latitude_deg, (said.min_c, said.max_c), today)
    if last is None or first is None:
        return None
    return FrostDates(*_moved(last, said.last_frost), *_moved(first, said.first_frost))


def _moved(levels: DateLevels, said: MonthDay | None) -> tuple[MonthDay, MonthDay, MonthDay]:
    """Three levels, moved together so that the middle one is the day she says; of a year, all in the order they had."""
    days = [date(_ANY_YEAR, *level) for level in (levels.p10, levels.p50, levels.p90)]
    off = timedelta(0) if said is None else date(_ANY_YEAR, said.month, min(said.day, 28)) - days[1]
    if said is not None and said.day > 28:
        off += timedelta(days=said.day - 28) if (said.month, said.day) != (2, 29) else timedelta(0)
    first, middle, last = (day + off for day in days)
    return MonthDay(first.month, first.day), MonthDay(middle.month, middle.day), MonthDay(last.month, last.day)


def _are_twelve(*values: Sequence[float]) -> bool:
    return all(len(found) == 12 for found in values) and all(low <= high for low, high in zip(*values, strict=True))
