"""Random quotes on small random farms: lines of one wedding beside the demand that stands, and what each is given."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from haulm.demand.dated_orders import order_lines_demand
from haulm.farm.orders import Order, OrderLine
from haulm.farm.products import Choice
from haulm.farm.varieties import Crop
from haulm.farm.words import OrderKind, OrderStatus, Role
from haulm.jobs.quotes.draft import QuoteDraft, StandInsAgreed, draft_of_lines, with_stand_ins
from haulm.matching.allocation.match import match
from haulm.matching.supply import IntArray
from support.farms import site
from support.forecast_builders import crop
from support.random_farms import TODAY, RandomFarm, random_farm

SEASONS = 6
MOST_STEMS = 8


@dataclass(frozen=True)
class SmallQuote:
    """A farm, its kinds as a quote sees them, and the wedding that is asked."""

    farm: RandomFarm
    crops: Mapping[str, Crop]
    order: Order
    lines: tuple[OrderLine, ...]

    def draft(self, lines: Iterable[OrderLine] | None = None, *, stand_ins: bool) -> QuoteDraft:
        """The lines as they are asked, or others, with or without stand-ins of role and palette."""
        draft = draft_of_lines(tuple(self.lines if lines is None else lines), self.order.key)
        agreed = StandInsAgreed((), unacceptable=self.order.unacceptable)
        return with_stand_ins(draft, self.crops, agreed) if stand_ins else draft

    def given(self, draft: QuoteDraft) -> list[IntArray]:
        """What each line of the wedding is given, shape (seasons,)."""
        asked = tuple(order_lines_demand(site(), self.order, draft.order_lines, TODAY))
        result = match((*self.farm.lines, *asked), self.farm.supply, self.farm.keeping)
        places = [result.places[line] for line in asked]
        return [np.broadcast_to(result.filled(place), (SEASONS,)) for place in places]

    def filled(self, draft: QuoteDraft) -> list[np.ndarray[tuple[int, ...], np.dtype[np.bool_]]]:
        """The seasons in which each line is filled."""
        return [np.asarray(got == line.stems) for line, got in zip(draft.order_lines, self.given(draft), strict=True)]


def small_quote(dice: random.Random, *, plain: bool = False) -> SmallQuote:
    """One to four lines, no minimum; a `plain` one is of one stage, and of kinds alone or of roles alone, unlimited."""
    farm = random_farm(dice, seasons=SEASONS, least_lines=0, most_lines=5)
    farm = replace(farm, lines=tuple(line for line in farm.lines if not line.is_spare))
    crops = {
        product.variety: crop(
            key=product.variety, name=product.variety, role=kept.role, colour=kept.colour, stages=kept.field_life.stages
        )
        for product, kept in farm.keeping.products.items()
    }
    products = sorted(farm.keeping.products)
    due = TODAY + timedelta(days=dice.randint(1, 12))
    refused = (dice.choice(products).variety,) if dice.random() < 0.1 else ()
    order = Order(
        "q", "c", OrderKind.WEDDING, due, committed_on=TODAY, status=OrderStatus.CONTRACTED, unacceptable=refused
    )
    of_roles = dice.choice((0.0, 1.0)) if plain else 0.4
    lines = []
    for _ in range(dice.randint(1, 4)):
        own = None if dice.random() < of_roles else dice.choice(products)
        others = tuple(dict.fromkeys(dice.choice(products) for _ in range(dice.choice((0, 0, 1)))))
        stems = dice.randint(1, MOST_STEMS)
        lines.append(
            OrderLine(
                "",
                "q",
                stems,
                product=own,
                choice=None if own is not None else Choice((dice.choice((Role.ACCENT, Role.FILLER)),)),
                substitutes=tuple(product for product in others if product != own),
                stage=None if plain else dice.choice(("young", None, None, None)),
                min_length_cm=dice.choice((0, 0, 20)),
                max_each=stems if own is None and plain else None,
                no_substitute=dice.random() < 0.1,
            )
        )
    return SmallQuote(farm, crops, order, tuple(lines))
