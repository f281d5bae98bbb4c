"""The days of a gap: by when to act, what the last chances are, by when to tell; and which way is recommended."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from haulm.advice.options.option import Option
from haulm.advice.options.ranking import closes_for_good
from haulm.advice.options.situation import Situation
from haulm.demand.dated_line import DatedLine
from haulm.farm.orders import Order
from haulm.farm.words import LineClass

GROWN = ("succession", "faster_kind", "plugs", "move_cut", "fleece", "dried")
"""Ways that the farm's own ground or store gives."""
OTHERS = ("swap", "substitute", "buy_in")
"""Ways that others have to agree to, or sell."""
CHEAPER = 0.2
"""A way takes the place of the one recommended before where it costs less by this share of it."""
_LATE_NOTICE = timedelta(weeks=4)
_LEAST_BEFORE_NUMBERS = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class GapDays:
    """The days of a gap, worked out of all its options.

    Attributes:
        act_by: the last day for the next step of the recommended way; `tell_by` where nothing helps.
        last_chance: the last day on which a sowing, a planting, a cut or own stock still closes it; None: none does.
        last_way: the last day for a swap or a stand-in that closes it, or for buying in; None: there is none.
        tell_by: the last day to tell whoever is short.
        kind: the kind of the recommended way.
        way: what the recommended way is, so that it is known again another day.
    """

    act_by: date
    last_chance: date | None
    last_way: date | None
    tell_by: date
    kind: str
    way: str


def gap_days(options: Sequence[Option], before: str | None = None, *, tray_minor: int = 0) -> GapDays:
    """The days of a gap.

    Args:
        options: the ways that can still help, as they are ranked; telling is always one of them.
        before: what the way recommended before is; None: none was.
        tray_minor: what a tray costs [minor units].
    """
    best = recommended(options, before, tray_minor=tray_minor)
    tell = next(option for option in options if option.kind == "tell")
    return GapDays(
        act_by=best.act_by,
        last_chance=last_chance(options),
        last_way=max((o.decide_by for o in options if _is_others(o)), default=None),
        tell_by=tell.act_by,
        kind=best.kind,
        way=identity(best),
    )


def recommended(options: Sequence[Option], before: str | None, *, tray_minor: int = 0) -> Option:
    """The way that is recommended: the first; but the one recommended before stays while it is possible and closes.

    It gives way to another that closes the gap and is cheaper by a fifth, and by the price of a tray.

    Args:
        options: the ways that can still help, as they are ranked.
        before: what the way recommended before is; None: none was.
        tray_minor: what a tray costs [minor units].
    """
    assert options, "telling is always a way"
    kept = next((o for o in options if closes_for_good(o) and identity(o) == before), None)
    if kept is None:
        return options[0]
    most = min((1 - CHEAPER) * _net(kept), _net(kept) - tray_minor)
    others = (o for o in options if o is not kept and closes_for_good(o) and o.is_in_proportion)
    return next((o for o in others if _net(o) <= most and _net(o) < _net(kept)), kept)


def identity(option: Option) -> str:
    """What a way is, whatever its day, bed and size: its kind, and what it sows, offers or cuts, or whom it asks."""
    sown = sorted({f"{batch.variety}/{batch.method}" for batch in option.batches})
    asked = sorted({line.line for line in option.lines})
    offered = [] if option.product is None else [str(option.product)]
    return " ".join([option.kind, *sown, *offered, *asked, *(day.isoformat() for day in option.cut_days)])


def last_chance(options: Sequence[Option]) -> date | None:
    """The last day on which a sowing, a planting, a cut or own stock still closes the gap; None: none does."""
    return max((o.decide_by for o in options if o.kind in GROWN and closes_for_good(o)), default=None)


@dataclass(frozen=True, slots=True)
class Sowable:
    """Until when a sowing can close a gap.

    Attributes:
        last: the last day on which one does; None: none does any more, or ever did.
        usual: by the calendar alone, the last day for the quickest kind that answers; None: the farm grows none.
    """

    last: date | None
    usual: date | None


def tell_by(situation: Situation, sowable: Sowable, orders: Mapping[str, Order]) -> date:
    """The last day to tell everybody who is short; today where that has passed.

    A florist is told while she can buy elsewhere, by the notice that she asked for. A wedding is told on the day its
    last sowing passes; one contracted after that, four weeks before; always before its final numbers.

    Args:
        situation: the gap.
        sowable: until when a sowing can close it.
        orders: the farm's dated orders, by key.
    """
    days = [_told_by(line, situation, sowable, orders.get(line.order)) for line in situation.lines]
    return max(min(days), situation.today)


def _told_by(line: DatedLine, situation: Situation, sowable: Sowable, order: Order | None) -> date:
    if line.line_class is not LineClass.WEDDING or order is None:
        return situation.ask_by([line])
    passes = sowable.usual if sowable.last is None else sowable.last
    is_after = order.committed_on is not None and passes is not None and order.committed_on > passes
    day = line.due - _LATE_NOTICE if passes is None or is_after else passes
    if order.final_numbers_date is None:
        return day
    return min(day, order.final_numbers_date - _LEAST_BEFORE_NUMBERS)


def _is_others(option: Option) -> bool:
    return option.kind in OTHERS and (option.kind == "buy_in" or option.closes)


def _net(option: Option) -> int:
    return 0 if option.worth is None else option.worth.net_minor
