"""Asked on the spot: as many stems as are said may be promised, and not one more; asking writes nothing."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DatePassed, DayNotServed
from haulm.jobs.promises.ask_on_the_spot import SpotAsked, ask_on_the_spot
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.quotes.promise_refused import PromiseRefused
from support.desks import done
from support.known_farm import known_farm

FRIDAY = date(2027, 6, 18)
ASKED = SpotAsked(OrderLine("", "", 1, Product("lagurus")), FRIDAY)


def contracted(desk: Desk, stems: int) -> None:
    line = OrderLine("", "", stems, Product("lagurus"))
    asked = QuoteAsked(FRIDAY, lines=(line,), kind=OrderKind.ONE_OFF, due_date=FRIDAY)
    key = done(desk, lambda work: quote_wedding(desk, work, asked)).order.key
    done(desk, lambda work: contract_quote(desk, work, key))


def test_what_is_said_is_accepted_and_one_more_is_refused(desk: Desk) -> None:
    most = ask_on_the_spot(desk, ASKED).found.stems

    assert most == 35  # 60 stand for Friday, of which anna has 25
    with pytest.raises(PromiseRefused):
        contracted(desk, most + 1)
    contracted(desk, most)
    assert ask_on_the_spot(desk, ASKED).found.stems == 0


def test_asking_writes_nothing_and_answers_the_same_again(desk: Desk) -> None:
    version = desk.store.version()

    first, again = ask_on_the_spot(desk, ASKED), ask_on_the_spot(desk, ASKED)

    assert first.sentence == again.sentence
    assert desk.store.version() == version


def test_the_answer_says_what_one_more_would_take_from_whom(desk: Desk) -> None:
    said = ask_on_the_spot(desk, replace(ASKED, kind=OrderKind.WEDDING)).sentence

    assert said.startswith("35 Bunny tail may be promised for Fri 18 Jun 2027 at 80 %")
    assert said.endswith(
        "; one more would take Studio Anna Verhoeven's 25 Bunny tail for Tue 15 Jun 2027 from 100 % to 0 %."
    )


def test_a_hope_is_never_less_than_the_promise_and_none_where_the_level_is_no_higher(desk: Desk) -> None:
    sure = ask_on_the_spot(desk, replace(ASKED, confidence=0.95))

    assert sure.hope is not None and sure.hope >= sure.found.stems
    assert f"({sure.hope} as a hope to offer, not promised)" in sure.sentence
    low = ask_on_the_spot(desk, replace(ASKED, confidence=0.05))
    assert low.hope is None and "hope" not in low.sentence


@pytest.mark.parametrize(
    ("changes", "refusal"),
    [
        ({"due_date": date(2027, 6, 13)}, DatePassed),
        ({"status": OrderStatus.QUOTED}, NotAccepted),
        ({"customer": "nobody"}, NotFound),
        ({"confidence": 1.0}, NotAccepted),
        ({"line": OrderLine("", "", 1, Product("peony"))}, HaulmError),
    ],
)
def test_what_cannot_be_answered_is_refused(desk: Desk, changes: dict[str, Any], refusal: type[HaulmError]) -> None:
    with pytest.raises(refusal):
        ask_on_the_spot(desk, replace(ASKED, **changes))


def test_a_day_that_no_cut_serves_is_refused_and_the_day_after_a_cut_is_not(open_desk: Any) -> None:
    short = "key,name,hold_days,stand_days\nlagurus,Bunny tail,1,3\nnigella,Love-in-a-mist,4,3"
    desk = open_desk(known_farm(varieties=short))

    with pytest.raises(DayNotServed):
        ask_on_the_spot(desk, replace(ASKED, due_date=date(2027, 6, 19)))
    assert ask_on_the_spot(desk, ASKED).found.stems > 0
