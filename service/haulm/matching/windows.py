"""Which lots a due date accepts: cut days, standing, conditioning, keeping, stages and greatest age.

Not for how many stems a window may take: that is counted by the engines.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

import numpy as np

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.weeks import cut_days_for
from haulm.farm.words import Form
from haulm.kept import answers
from haulm.matching.supply import Block, BoolArray, Keeping, LotDays, Pool, ProductKeeping, Supply

_MOST_KNOWN = 500
"""So many windows of a pool are kept: a year of due days, and what questions ask."""


class Window(NamedTuple):
    """What decides the lots of a product that an ask accepts; the least length picks pools, not lots.

    Attributes:
        due: the day the stems leave.
        stage: the cut stage asked, or None.
        max_age_days: the most days since cutting on the due date [d], or None.
        cut_only: whether standing stems are left out, since nothing is cut for it any more.
        standing_only: whether the store is left out.
    """

    due: date
    stage: str | None = None
    max_age_days: int | None = None
    cut_only: bool = False
    standing_only: bool = False


def window_of(line: DatedLine) -> Window:
    """The window of a dated line."""
    return Window(line.due, line.stage, line.max_age_days, line.cut_only, line.standing_only)


def accepted_lots(window: Window, days: LotDays, product: Product, keeping: Keeping) -> BoolArray:
    """Which lots of a product may serve a window.

    A standing lot ready on r serves iff some cut day c has due - hold_days <= c <= due - condition_days, c not before
    today, r <= c <= r + the days it stands; a stage from..to narrows this to from <= c - r <= to, a greatest age to
    due - c <= max_age_days. A lot cut on c serves from c + condition_days to c + hold_days, with the same two
    narrowings. Dried lots serve from their ready date on. `usable_until` ends each of them. Where nothing is cut for
    the window any more, no standing lot serves it.

    Args:
        window: what is asked.
        days: day numbers of the lots, each shape (lots,).
        product: the lots' product.
        keeping: the farm's rules, which name the product.

    Returns:
        Booleans, shape (lots,). A stage that the product hasn't got accepts nothing.

    Source: the rule of the project's own model (docs/engineer/model.md).
    """
    due = window.due.toordinal()
    kept = keeping.products[product]
    if days.rising is not None and product.form is Form.FRESH and window.stage is None:
        return _standing_run(days.rising, _cuts(window, kept, keeping), kept.field_life.days)
    usable = days.until >= due
    if window.standing_only:
        usable &= days.cut == 0
        if product.form is Form.DRIED:
            return np.zeros(days.ready.shape, np.bool_)
    if product.form is Form.DRIED:
        return np.asarray(usable & (days.ready <= due))
    stage = kept.field_life.stage(window.stage) if window.stage is not None else None
    if window.stage is not None and stage is None:
        return np.zeros(days.ready.shape, np.bool_)
    cut_lot = (days.cut > 0) & (days.cut + keeping.condition_days <= due) & (due <= days.cut + _oldest(window, kept))
    if stage is not None:
        stood = days.cut - days.ready
        cut_lot &= (stage.from_day <= stood) & (stood <= stage.to_day)
    standing = (days.cut == 0) & _standing(window, days, kept, keeping)
    return np.asarray(usable & (cut_lot | standing))


def _oldest(window: Window, kept: ProductKeeping) -> int:
    """The most days since cutting on the due date [d]."""
    return kept.hold_days if window.max_age_days is None else min(kept.hold_days, window.max_age_days)


def _standing(window: Window, days: LotDays, kept: ProductKeeping, keeping: Keeping) -> BoolArray:
    ages = kept.field_life.ages(kept.field_life.stage(window.stage) if window.stage is not None else None)
    found = np.zeros(days.ready.shape, np.bool_)
    for cut in _cuts(window, kept, keeping):
        found |= (days.ready > cut - ages.stop) & (days.ready <= cut - ages.start)
    return found


def _standing_run(ready: list[int], cuts: tuple[int, ...], stands_for: int) -> BoolArray:
    """The same for lots that all stand, in the order of their ready days, for any stage."""
    found = np.zeros(len(ready), np.bool_)
    for cut in cuts:
        found[bisect_left(ready, cut - stands_for) : bisect_right(ready, cut)] = True
    return found


def _cuts(window: Window, kept: ProductKeeping, keeping: Keeping) -> tuple[int, ...]:
    if window.cut_only:
        return ()
    rules = (keeping.weekdays, keeping.condition_days, keeping.today, keeping.extra_cut_days)
    return _cut_days(window.due, _oldest(window, kept), rules)


@answers(4096)
def _cut_days(due: date, oldest: int, rules: tuple[frozenset[int], int, date, frozenset[date]]) -> tuple[int, ...]:
    """Day numbers of the cut days that serve a due date."""
    weekdays, condition_days, today, extra_cut_days = rules
    usual = cut_days_for(due, weekdays=weekdays, hold_days=oldest, condition_days=condition_days, today=today)
    extra = (day for day in extra_cut_days if condition_days <= (due - day).days <= oldest)
    return tuple(sorted(day.toordinal() for day in {*usual, *extra}))


class Acceptance:
    """Accepted lots per pool and window, each worked out once."""

    def __init__(self, pools: Sequence[Pool], keeping: Keeping) -> None:
        """Nothing is worked out until asked."""
        self.keeping = keeping
        self._pools = pools
        self._known: list[dict[Window, BoolArray]] = [{} for _ in pools]

    def after(self, supply: Supply) -> Acceptance:
        """The same for other pools under the same rules; lots that both share are not looked at again."""
        found = Acceptance(supply.pools, self.keeping)
        shared = {_lots_of(pool): known for pool, known in zip(self._pools, self._known, strict=True)}
        found._known = [shared.get(_lots_of(pool), {}) for pool in supply.pools]
        return found

    def cutting(self, keeping: Keeping) -> Acceptance:
        """The same under rules that differ in extra cut days only; windows they don't reach are not looked at again."""
        found = Acceptance(self._pools, keeping)
        for place, pool in enumerate(self._pools):
            then, now = self.keeping.products[pool.product], keeping.products[pool.product]
            found._known[place] = {
                window: mask
                for window, mask in dict(self._known[place]).items()
                if _cuts(window, then, self.keeping) == _cuts(window, now, keeping)
            }
        return found

    def pool(self, pool: int) -> Pool:
        """The pool at a place."""
        return self._pools[pool]

    def mask(self, pool: int, window: Window) -> BoolArray:
        """Which lots of a pool serve a window, booleans, shape (lots,)."""
        known = self._known[pool]
        mask = known.get(window)
        if mask is None:
            if len(known) >= _MOST_KNOWN:
                known = self._known[pool] = {}
            found = self._pools[pool]
            mask = known[window] = accepted_lots(window, found.days, found.product, self.keeping)
        return mask


def _lots_of(pool: Pool) -> tuple[Product, tuple[Block, ...]]:
    """What masks depend on beside the rules: blocks are only ever equal to themselves."""
    return pool.product, pool.blocks
