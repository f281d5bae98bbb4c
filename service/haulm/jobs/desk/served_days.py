"""Whether any cut day can serve the day stems leave, and which cut days would."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from haulm.advice.pricing import answering
from haulm.demand.dated_line import DatedLine
from haulm.farm.checks import cutting_weekdays
from haulm.farm.orders import OrderLine
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.weeks import cut_days_for
from haulm.farm.words import Form
from haulm.jobs.desk.refusals import DayNotServed


def check_day_served(site: Site, crops: Mapping[str, Crop], line: OrderLine | DatedLine, due: date) -> None:
    """Refuse a due day that no cut day can serve for the line's product, or any that answers it; dried stems need none.

    Raises:
        DayNotServed: names the weekdays that would serve, were they cut days.
    """
    products = [line.product] if line.product else answering(line.choice, crops) if line.choice else []
    holds = [crops[product.variety].hold_days for product in products if product.form is Form.FRESH]
    if not holds or len(holds) < len(products):
        return
    keeps = {"hold_days": max(holds), "condition_days": site.condition_days}
    if not cut_days_for(due, weekdays=site.cut_weekdays, today=date.min, **keeps):
        raise DayNotServed(due=due, would_serve=cutting_weekdays(due, **keeps))
