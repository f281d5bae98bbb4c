"""What if: an order paused, a wedding moved or an early frost, before and after side by side; nothing is written."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request, Response

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import Gap
from haulm.errors import NotAccepted
from haulm.farm.orders import Order, StandingOrder
from haulm.farm.quantities import percents
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderStatus, StandingStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.level_words import levels_in_words
from haulm.jobs.gaps.supposed import FrostSupposed, MoveSupposed, PauseSupposed, Supposed
from haulm.jobs.gaps.what_if import Pair, what_if
from haulm.pages.doing import PageDesk, PageRoute, whole_number
from haulm.pages.look import page
from haulm.planning.outlooks import Delivery
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_ALIVE = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)
_MOST_WEEKS = 26


@router.get("/what-if")
def suppose(
    request: Request, desk: PageDesk, pause: str = "", move: str = "", to: str = "", frost: str = ""
) -> Response:
    """The form, and where something is supposed what it would change."""
    farm = desk.store.farm()
    changes = [*_paused(pause), *_moved(move, to), *_frozen(frost)]
    found = what_if(desk, changes) if changes else None
    crops = desk.plan().crops
    gaps = () if found is None else [(asked_in_words(pair.either.asked, crops), pair) for pair in found.gaps]
    return page(
        request,
        "what_if.html",
        standing=_standing(farm),
        orders=_orders(farm, desk),
        asked={"pause": pause, "move": move, "to": to, "frost": frost},
        found=found,
        gaps=gaps,
        levels=levels_in_words(farm.site),
        said_of=_said,
        names={customer.key: customer.name for customer in farm.customers},
    )


def _said(pair: Pair[Delivery] | Pair[Gap], figure: str) -> tuple[str | None, str | None]:
    """How sure it is before and after, so that what differs looks different; nothing where it stands on one side."""
    if pair.before is None or pair.after is None:
        return None, None
    return percents(getattr(pair.before, figure), getattr(pair.after, figure))


def _standing(farm: Farm) -> list[StandingOrder]:
    return [order for order in farm.standing_orders if order.status is StandingStatus.ACTIVE]


def _orders(farm: Farm, desk: Desk) -> list[Order]:
    return [order for order in farm.orders if order.status in _ALIVE and order.due_date >= desk.today()]


def _paused(order: str) -> list[Supposed]:
    return [PauseSupposed(order)] if order else []


def _moved(order: str, to: str) -> list[Supposed]:
    if not order:
        return []
    try:
        return [MoveSupposed(order, date.fromisoformat(to))]
    except ValueError:
        raise NotAccepted(where="to", found=f"'{to[:40]}'", accepted="a day such as 2027-08-14") from None


def _frozen(weeks: str) -> list[Supposed]:
    if weeks in ("", "0"):
        return []
    found = whole_number("frost", weeks)
    if found > _MOST_WEEKS:
        raise NotAccepted(where="frost", found=str(found), accepted=f"0 to {_MOST_WEEKS} weeks")
    return [FrostSupposed(7 * found)]
