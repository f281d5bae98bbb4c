"""In what numbers a farm sows, plants and buys, and how long it waits for what it orders."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.candidates import last_work_day, next_work_day
from haulm.farm.at_home import AtHome, in_hand, needed
from haulm.farm.batches import Batch
from haulm.farm.costs import SEED_DAYS, CostRules
from haulm.farm.quantities import whole_up
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.words import InHand, Method

_CM_PER_M = 100


@dataclass(frozen=True, slots=True)
class Step:
    """A sowing is a whole number of steps, and no fewer places than the least."""

    places: int
    least: int

    def rounded(self, places: float) -> int:
        """Places rounded up to whole steps."""
        return max(self.least, whole_up(places / self.places) * self.places)


def step_of(crop: Crop, method: Method, rules: CostRules, places_per_tray: float) -> Step:
    """The step of a kind: half a tray, a metre of row, a bag of tubers, a tray of plugs as it is sold.

    Args:
        crop: the kind.
        method: how it is started.
        rules: the farm's own figures.
        places_per_tray: places in a tray of the farm.

    Source: the numbers in which growers sow and order (common practice); bags and trays as the kind's figures say.
    """
    costs = crop.costs
    if method is Method.PLUGS:
        tray = rules.plug_tray or costs.plug_tray
        return Step(tray, math.ceil((rules.plug_least or costs.plug_least) / tray) * tray)
    if method is Method.TUBER:
        bag = rules.tuber_bag or costs.tuber_bag
        return Step(bag, bag)
    if method is Method.DIRECT:
        a_metre = max(1, round(_CM_PER_M / crop.spacing_cm))
        return Step(a_metre, a_metre)
    half = max(1, round(places_per_tray / 2))
    return Step(half, half)


def is_sold_as_plugs(crop: Crop, rules: CostRules, batches: Collection[Batch]) -> bool:
    """Whether plugs of a kind can be bought: they commonly can, the farm says so, or it has bought some before."""
    bought = any(batch.variety == crop.key and batch.method is Method.PLUGS for batch in batches)
    return bought or crop.costs.sold_as_plugs or crop.key in rules.plug_kinds


def order_days(crop: Crop, method: Method, rules: CostRules) -> int:
    """Days from ordering what a sowing needs to having it [d]."""
    if method is Method.PLUGS:
        return 7 * (crop.costs.plug_weeks if rules.plug_weeks is None else rules.plug_weeks)
    return SEED_DAYS if rules.seed_days is None else rules.seed_days


@dataclass(frozen=True)
class Terms:
    """On what terms a farm sows and buys.

    Attributes:
        site: its working days, and its own figures of what sowing costs.
        today: nothing is ordered before it.
        places_per_tray: places in a tray of the farm.
        ticks: what is at home or ordered.
    """

    site: Site
    today: date
    places_per_tray: float
    ticks: tuple[AtHome, ...] = ()

    def step(self, crop: Crop, method: Method) -> Step:
        """The step in which a kind is sown."""
        return step_of(crop, method, self.site.costs, self.places_per_tray)

    def tick(self, crop: Crop, method: Method) -> AtHome | None:
        """That what a sowing is begun from is at home, or ordered; None where it is not."""
        return in_hand(self.ticks, crop.key, needed(method), (self.today, self.site.latitude))

    def here_from(self, crop: Crop, method: Method) -> date:
        """The first day on which what a sowing is begun from is here, where it is ordered on the next working day."""
        tick = self.tick(crop, method)
        if tick is not None and tick.state is InHand.AT_HOME:
            return self.today
        ordered = next_work_day(self.site, self.today) if tick is None else tick.date
        return max(self.today, ordered + timedelta(days=order_days(crop, method, self.site.costs)))

    def order_by(self, crop: Crop, method: Method, sow_by: date) -> date | None:
        """The last working day on which to order what is sown by a day; None where it is too late to order."""
        latest = sow_by - timedelta(days=order_days(crop, method, self.site.costs))
        found = last_work_day(self.site, latest)
        return found if found >= self.today else None
