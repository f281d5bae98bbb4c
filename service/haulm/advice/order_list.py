"""What is to be ordered for sowings to come: what they are begun from, less what is at home, and by which day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from math import inf

from haulm.advice.next_season import begun_on
from haulm.advice.options.steps import Step, Terms
from haulm.farm.at_home import holds_until, needed
from haulm.farm.batches import Batch
from haulm.farm.varieties import Crop
from haulm.farm.words import Method, Needed


@dataclass(frozen=True, slots=True)
class ToOrder:
    """What of one kind is to be ordered: its seed, its plugs or its tubers, corms and bulbs.

    Attributes:
        crop: the kind.
        what: what its sowings are begun from.
        places: places that the sowings have in all (cell, pot, clump, station), never seeds.
        left: places for which it is at home, or ordered; never more than `places`.
        sowings: how many sowings it is for.
        unsaid: how many of them do not say their places.
        first, last: the days of the first and of the last of them.
        wanted_by: the day of the first sowing that is to be ordered for; None where nothing is.
        order_by: the last working day to order by for that; None where nothing is to be ordered, or it is too late.
        bought: places as they are sold: whole trays of plugs, whole bags of tubers; seed as it is.
        pack: places in one tray or bag; 1 for seed.
    """

    crop: Crop
    what: Needed
    places: int
    left: int
    sowings: int
    unsaid: int
    first: date
    last: date
    wanted_by: date | None
    order_by: date | None
    bought: int
    pack: int

    @property
    def to_order(self) -> int:
        """Places to order for: the plan less what is left."""
        return self.places - self.left

    @property
    def is_late(self) -> bool:
        """Whether it would come too late for the first of the sowings, even if it were ordered today."""
        return self.wanted_by is not None and self.order_by is None


def order_list(batches: Iterable[Batch], crops: Mapping[str, Crop], terms: Terms) -> tuple[ToOrder, ...]:
    """What sowings need that is bought, kind by kind.

    Args:
        batches: the sowings it is for; those without a day, and what stands already, need nothing.
        crops: every kind by key.
        terms: how the farm buys, and what is ticked as at home or ordered.

    Returns:
        What is to be ordered first by day, what is at home last; ties by name and by what it is.

    Source: definition; days of delivery from `order_days`.
    """
    groups: dict[tuple[str, Needed], list[tuple[date, Batch]]] = {}
    for batch in batches:
        day, what = begun_on(batch), needed(batch.method)
        if day is not None and what is not None:
            groups.setdefault((batch.variety, what), []).append((day, batch))
    found = [_of_kind(crops[kind], what, rows, terms) for (kind, what), rows in groups.items()]
    return tuple(sorted(found, key=_by_day))


def _of_kind(crop: Crop, what: Needed, rows: list[tuple[date, Batch]], terms: Terms) -> ToOrder:
    rows = sorted(rows, key=lambda one: (one[0], one[1].key))
    places = sum(batch.places for _, batch in rows)
    short = list(_short(crop, what, rows, terms))
    lacking = sum(count for _, _, count in short)
    wanted = short[0] if short else None
    order_by = None if wanted is None else terms.order_by(crop, wanted[1], wanted[0])
    step = Step(1, 0) if what is Needed.SEED else terms.step(crop, rows[0][1].method)
    return ToOrder(
        crop=crop,
        what=what,
        places=places,
        left=places - lacking,
        sowings=len(rows),
        unsaid=sum(not batch.places for _, batch in rows),
        first=rows[0][0],
        last=rows[-1][0],
        wanted_by=None if wanted is None else wanted[0],
        order_by=order_by,
        bought=step.rounded(lacking) if lacking else 0,
        pack=step.places,
    )


def _short(
    crop: Crop, what: Needed, rows: list[tuple[date, Batch]], terms: Terms
) -> Iterator[tuple[date, Method, int]]:
    """The sowings for which something is to be ordered, by day: the day, the way, and the places lacking."""
    tick = next((row for row in terms.ticks if (row.variety, row.what) == (crop.key, what)), None)
    left: float = 0 if tick is None else inf
    until = date.min if tick is None else holds_until(tick.date, terms.site.latitude)
    for day, batch in rows:
        taken = min(left, batch.places) if day <= until else 0
        left -= taken
        if batch.places > taken or (not batch.places and day > until):
            yield day, batch.method, batch.places - int(taken)


def _by_day(one: ToOrder) -> tuple[bool, date, str, str]:
    day = date.min if one.is_late else one.order_by or one.first
    return one.wanted_by is None, day, one.crop.name.casefold(), one.what
