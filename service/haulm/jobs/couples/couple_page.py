"""What a couple sees by their link: their own order from the quote to the day, and nothing of anybody else."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.advice.homes import homes_in_words
from haulm.farm.words import Home, OrderStatus
from haulm.jobs.bucket_day.told_week import ToldDelivery
from haulm.jobs.couples.answer_quote import CoupleAnswer, Wish, last_answer, wishes_open
from haulm.jobs.couples.told_quote import ToldQuote, told_quote
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_page import see_told_week
from haulm.jobs.promises.hold_quote import order_named
from haulm.jobs.promises.show_quote import QuoteSheet, show_quote

_PROMISED = (OrderStatus.ON_HOLD, OrderStatus.CONTRACTED)


@dataclass(frozen=True, slots=True)
class CouplePage:
    """All that a couple may see.

    Attributes:
        sheet: their quote; only what is told of it is shown.
        told: the same in the words and amounts of its paper.
        deliveries: what leaves in the week that runs, settled or expected.
        answer: what they said last; None where they have said nothing.
        wishes: what they may say.
        at_home: who lives where the flowers go, in words.
    """

    sheet: QuoteSheet
    told: ToldQuote
    deliveries: tuple[ToldDelivery, ...]
    answer: CoupleAnswer | None
    wishes: tuple[Wish, ...]
    at_home: str

    @property
    def has_yes(self) -> bool:
        """Whether a yes is open."""
        return Wish.YES in self.wishes or Wish.YES_SOWN in self.wishes


def couple_page(desk: Desk, key: str) -> CouplePage:
    """The page of one order.

    Raises:
        NotFound: there is no such order.
    """
    farm = desk.store.farm()
    sheet, order = show_quote(desk, key), order_named(farm, key)
    deliveries = see_told_week(desk, order.customer) if order.status in _PROMISED else ()
    return CouplePage(
        sheet,
        told_quote(sheet, farm.site.papers),
        tuple(one for one in deliveries if one.order == key),
        last_answer(desk, key),
        wishes_open(order, sheet.version, desk.today(), may_sow=sheet.may_sow),
        homes_in_words(map(Home, sheet.version.homes)),
    )
