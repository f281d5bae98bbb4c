"""Whether any cut day can serve the day stems leave, and which cut days would."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.weeks import cut_days_for
from haulm.farm.words import Form, Weekday
from haulm.jobs.refusals import DayNotServed


def check_day_served(site: Site, crops: Mapping[str, Crop], products: Iterable[Product], due: date) -> None:
    """Refuse a due day that no cut day can serve for any of the products; dried stems need none.

    Raises:
        DayNotServed: names the weekdays that would serve, were they cut days.
    """
    holds = [crops[product.variety].hold_days for product in products if product.form is Form.FRESH]
    dried = any(product.form is Form.DRIED for product in products)
    if dried or not holds:
        return
    longest = max(holds)
    served = cut_days_for(
        due, weekdays=site.cut_weekdays, hold_days=longest, condition_days=site.condition_days, today=date.min
    )
    if not served:
        ages = range(site.condition_days, max(longest, site.condition_days) + 1)
        days = [list(Weekday)[(due - timedelta(days=age)).weekday()] for age in ages]
        raise DayNotServed(due=due, would_serve=list(dict.fromkeys(str(day) for day in days)))
