"""A row that asks more is judged as a promise, one that asks less is not; the book of promises follows either."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from haulm.demand.dated_line import DatedLine
from haulm.errors import NotAccepted
from haulm.farm.edits import Row
from haulm.farm.orders import Order, OrderLine, StandingLine
from haulm.farm.products import Product
from haulm.farm.words import OrderKind, OrderStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DayNotServed
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.judge_demand import DemandChange, asking_more, judge_demand, keep_promises, promise_of
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import PromiseState
from support.advice_builders import dated_line
from support.desks import done
from support.farms import order, variety
from support.known_farm import PARTY, known_farm

FRIDAY, THURSDAY = date(2027, 6, 18), date(2027, 6, 17)
ONE_PARTY = {name: "\n".join(text.rstrip().splitlines()[:-1]) for name, text in PARTY.items()}


@pytest.fixture
def desk(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """Of 60 lagurus anna has 25 on Tuesday and bram's party 20 on Friday, with 5 to spare."""
    return open_desk(known_farm(**ONE_PARTY))


def party(desk: Desk, **changes: object) -> OrderLine:
    (line,) = desk.store.farm().order_lines
    return replace(line, **changes)  # type: ignore[arg-type]


def judged(desk: Desk, row: Row, override: str | None = None) -> DemandChange:
    found = judge_demand(desk, desk.store.farm(), row, override=override)
    assert found is not None
    return found


def written(desk: Desk, row: Order | OrderLine) -> None:
    """A row written as whoever changes rows does it."""

    def job(work: UnitOfWork) -> None:
        change = judge_demand(desk, work.farm, row, override=None)
        assert change is not None
        seq = work.enter("written", "orders/party", change.facts)
        work.put(row, entry=seq)
        keep_promises(desk, work, change, entry=seq)

    done(desk, job)


def book(desk: Desk) -> dict[date, tuple[PromiseState, int]]:
    """The last word on the party's line, by day."""
    return {one.due: (one.state, one.stems) for one in desk.store.promises(line="party-1")}


def test_a_row_that_asks_for_nothing_is_not_judged(desk: Desk) -> None:
    assert judge_demand(desk, desk.store.farm(), variety(), override=None) is None


def test_more_stems_are_a_promise_as_long_as_they_are_there(desk: Desk) -> None:
    found = judged(desk, party(desk, stems=35))

    assert found.is_promise and found.facts == {"promised": True}
    with pytest.raises(PromiseRefused):
        judged(desk, party(desk, stems=36))


def test_a_refusal_can_be_overridden_which_is_no_promise_and_says_what_it_takes(desk: Desk) -> None:
    found = judged(desk, party(desk, stems=36), override="a regular")

    assert not found.is_promise
    assert found.facts["overridden"] and "promised" not in found.facts


def test_fewer_stems_and_what_asks_nothing_else_need_no_judgement(desk: Desk) -> None:
    assert judged(desk, party(desk, stems=19)).verdict is None
    priced = judged(desk, party(desk, bunch_price_minor=300, bunch_stems=10))
    assert (priced.verdict, priced.before) == (None, priced.after)


def test_a_standing_line_that_lacks_stems_itself_is_taken_unless_somebody_else_falls(
    open_desk: Callable[[dict[str, bytes]], Desk],
) -> None:
    desk = open_desk(known_farm())
    (line,) = desk.store.farm().standing_lines
    many: StandingLine = replace(line, stems=500)

    assert judged(desk, many).is_promise
    asked = QuoteAsked(FRIDAY, lines=(OrderLine("", "", 20, Product("lagurus")),), kind=OrderKind.ONE_OFF)
    key = done(desk, lambda work: quote_wedding(desk, work, asked)).order.key
    done(desk, lambda work: contract_quote(desk, work, key))
    with pytest.raises(PromiseRefused) as refusal:
        judged(desk, many)
    assert [fall.line.order for fall in refusal.value.verdict.falls] == [key]


def test_a_day_that_no_cut_serves_is_refused_where_the_line_is_new_and_not_where_it_stands(
    open_desk: Callable[[dict[str, bytes]], Desk],
) -> None:
    short = "key,name,hold_days,stand_days\nlagurus,Bunny tail,1,3\nnigella,Love-in-a-mist,4,3"
    desk = open_desk(known_farm(varieties=short, **ONE_PARTY))
    (row,) = desk.store.farm().orders
    moved = replace(row, due_date=THURSDAY)

    with pytest.raises(DayNotServed):
        judged(desk, moved)
    done(desk, lambda work: work.put(moved))
    assert judged(desk, party(desk, stems=21), override="as it was agreed").facts["overridden"]


def test_to_hold_or_contract_is_a_step_of_its_own(desk: Desk) -> None:
    new = order("new", customer="bram")
    with pytest.raises(NotAccepted, match="accepted is 'quoted', then POST /v1/quotes/new/contract"):
        judged(desk, new)
    with pytest.raises(NotAccepted, match="accepted is POST /v1/quotes/party/hold, which asks the match first"):
        judged(desk, replace(desk.store.farm().orders[0], status=OrderStatus.ON_HOLD, hold_until=FRIDAY))


def test_the_book_follows_other_numbers_another_day_and_the_end(desk: Desk) -> None:
    written(desk, party(desk, stems=30))
    assert book(desk) == {FRIDAY: (PromiseState.CONTRACTED, 30)}

    (row,) = desk.store.farm().orders
    written(desk, replace(row, due_date=THURSDAY))
    assert book(desk) == {FRIDAY: (PromiseState.RELEASED, 30), THURSDAY: (PromiseState.CONTRACTED, 30)}

    written(desk, replace(row, due_date=THURSDAY, status=OrderStatus.CANCELLED))
    assert book(desk)[THURSDAY] == (PromiseState.RELEASED, 30)


def test_a_line_asks_more_where_it_is_new_larger_surer_or_something_else() -> None:
    line = dated_line(promised_confidence=0.8)

    def more(after: DatedLine, *before: DatedLine) -> list[DatedLine]:
        return asking_more(
            {(one.line, one.due, one.is_spare): one for one in before}, {(after.line, after.due, after.is_spare): after}
        )

    assert more(line) == [line]
    for changes in ({"stems": 21}, {"promised_confidence": 0.9}, {"stage": "young"}):
        other = replace(line, **changes)  # type: ignore[arg-type]
        assert more(other, line) == [other]
    for changes in ({"stems": 19}, {"promised_confidence": None}, {"minimum": 5}, {}):
        assert more(replace(line, **changes), line) == []  # type: ignore[arg-type]


def test_spare_is_promised_to_nobody_and_a_weekly_line_at_no_level() -> None:
    line, spare = dated_line(promised_confidence=0.9), dated_line("s", is_spare=True)

    dated = promise_of("o", [line, spare], 0.5, is_dated=True)
    assert (dated.level, dated.joint, dated.anew) == (0.9, 0.5, frozenset({(line.line, line.due)}))
    alone = promise_of("o", [spare], 0.5, is_dated=True)
    assert (alone.level, alone.joint, alone.anew) == (0.0, 1.0, frozenset())
    assert promise_of("o", [line], 0.5, is_dated=False).level == 0.0
