"""What is to be minded of the kinds of a quote: where its pieces go, each kind once, the worst first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from haulm.farm.orders import OrderLine
from haulm.farm.place_words import Place
from haulm.farm.varieties import Crop
from haulm.farm.warnings import warnings_where
from haulm.farm.words import Use
from haulm.jobs.quotes.draft import QuoteDraft, products_of
from haulm.jobs.quotes.version import CareTold
from haulm.planning.plan import Plan

_PLACES: Mapping[Use, Place] = {
    Use.WORN: Place.BOUQUET,
    Use.TABLE: Place.TABLE,
    Use.FOOD: Place.FOOD_TABLE,
    Use.SET_UP: Place.HOME,
}


def care_of(plan: Plan, draft: QuoteDraft, unacceptable: Sequence[str] = ()) -> tuple[CareTold, ...]:
    """What is to be minded of every kind that the lines may be given, where its pieces go; at home where none says."""
    uses = {need.piece: need.use for need in draft.needs}
    places: dict[str, set[Place]] = {}
    for line in draft.lines:
        where = {_PLACES[uses[piece]] for piece in line.pieces} or {Place.HOME}
        for crop in kinds_of(plan, [line.line], unacceptable):
            places.setdefault(crop.key, set()).update(where)
    kinds = [(plan.crops[key], sorted(places[key], key=list(Place).index)) for key in sorted(places)]
    return tuple(CareTold(one.kinds, one.severity.name.lower(), one.sentences) for one in warnings_where(kinds))


def care_lines(care: Iterable[CareTold]) -> tuple[str, ...]:
    """What is to be minded, a line each."""
    return tuple(str(one.warned) for one in care)


def kinds_of(plan: Plan, lines: Iterable[OrderLine], unacceptable: Sequence[str] = ()) -> tuple[Crop, ...]:
    """Every kind that the lines may be given, by key."""
    keys = {product.variety for line in lines for product in products_of(line, plan.crops, unacceptable=unacceptable)}
    return tuple(plan.crops[key] for key in sorted(keys))
