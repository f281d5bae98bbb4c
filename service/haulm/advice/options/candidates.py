"""Which sowings are worth trying for a gap: the kind, a method in season, and a date that is not past."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.site import MonthDay, Site
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.farm.words import LifeCycle, Method
from haulm.horticulture.sowing_windows import SowingRules, sowable

_HARDY = (LifeCycle.HARDY_ANNUAL, LifeCycle.BIENNIAL, LifeCycle.PERENNIAL)
_METHODS = {
    LifeCycle.HARDY_ANNUAL: (Method.COVER, Method.DIRECT, Method.HEATED, Method.PLUGS),
    LifeCycle.HALF_HARDY_ANNUAL: (Method.HEATED, Method.COVER, Method.DIRECT, Method.PLUGS),
    LifeCycle.TENDER_ANNUAL: (Method.HEATED, Method.COVER, Method.DIRECT, Method.PLUGS),
    LifeCycle.BULB_TUBER: (Method.TUBER,),
    LifeCycle.BIENNIAL: (),
    LifeCycle.PERENNIAL: (),
}
"""Methods by which a kind can flower in the season it is started in (common practice)."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One sowing to try; for plugs the date is that of planting."""

    product: Product
    method: Method
    day: date

    def batch(self, key: str, places: int) -> Batch:
        """The batch of so many places."""
        plugs = self.method is Method.PLUGS
        return Batch(
            key=key,
            variety=self.product.variety,
            sow_date=None if plugs else self.day,
            method=self.method,
            form=self.product.form,
            sown=places,
            plant_out_date=self.day if plugs else None,
        )


def candidates(
    site: Site, crop: Crop, product: Product, *, today: date, last_due: date, plugs_from: date | None
) -> Iterator[Candidate]:
    """Sowings of one product by each method, a working day of each week, where the method is in season.

    Args:
        site: latitude, seasons, frost dates and working days.
        crop: the product's crop.
        product: what should come of it.
        today: no sowing lies before it.
        last_due: nothing sown on the day it is due can still help.
        plugs_from: the first day on which plugs that are ordered today are here; None where none are sold.
    """
    rules = sowing_rules(site, crop.life_cycle)
    for method in _METHODS[crop.life_cycle]:
        first = plugs_from if method is Method.PLUGS else today
        for day in () if first is None else work_days(site, first, last_due):
            if sowable(method, day, life_cycle=crop.life_cycle, latitude_deg=site.latitude, rules=rules):
                yield Candidate(product, method, day)


def work_days(site: Site, first: date, before: date) -> Iterator[date]:
    """The first working day from a day on, and then that of each week, before another day.

    Whichever day of a week it is looked at, the weeks to come have the same days.
    """
    day = next_work_day(site, first)
    while day < before:
        yield day
        day = next_work_day(site, Week.of(day).plus(1).monday)


def next_work_day(site: Site, day: date) -> date:
    """The first day from a day on, itself included, on which somebody works."""
    return next(one for ahead in range(7) if site.is_work_day(one := day + timedelta(days=ahead)))


def last_work_day(site: Site, day: date) -> date:
    """The last day up to a day, itself included, on which somebody works."""
    return next(one for back in range(7) if site.is_work_day(one := day - timedelta(days=back)))


def sowing_rules(site: Site, life_cycle: LifeCycle) -> SowingRules:
    """The farm's seasons for a kind's hardiness."""
    season = site.seasons.get("hardy" if life_cycle in _HARDY else "half_hardy")
    frost = site.frost
    return SowingRules(
        direct_from=None if season is None else _month_day(season.direct_from),
        direct_until=None if season is None else _month_day(season.direct_until),
        glass_until=None if season is None else _month_day(season.glass_until),
        last_frost_p50=None if frost is None else _month_day(frost.last_spring_p50),
        last_frost_p90=None if frost is None else _month_day(frost.last_spring_p90),
        first_frost_p50=None if frost is None else _month_day(frost.first_autumn_p50),
    )


def _month_day(day: MonthDay | None) -> tuple[int, int] | None:
    return None if day is None else (day.month, day.day)
