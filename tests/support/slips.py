"""Things that somebody does on a small farm and may want to take back, each by its own job; and what a store then says.

The farm is the one of bucket days; before anything else some stems are counted and cut, and two quotes are written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from typing import Any

from haulm.farm.edits import COLLECTIONS, identity
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.words import InHand, Needed
from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.keep_shares import keep_shares
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.farm.take_back_row import take_back_row
from haulm.jobs.farm.tick_at_home import TickAsked, tick_at_home
from haulm.jobs.field.cool_store import cool_store
from haulm.jobs.florists.no_more_mail import want_mail
from haulm.jobs.florists.send_availability import send_availability
from haulm.jobs.journal.kinds import KINDS
from haulm.jobs.promises.end_quote import cancel_quote, fulfil_order, release_quote
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.store.store import Store
from haulm.store.words import Account, PromiseState
from support.bucket_days import BucketDay, bucket_farm
from support.desks import MONDAY, desk_over, on

FRIDAY = date(2027, 6, 18)
Slip = Callable[[BucketDay], object]
_OVER = (PromiseState.RELEASED, PromiseState.LAPSED)


def slip_farm(store: Store) -> BucketDay:
    """The farm as it stands before anybody slips: 90 stems cut, one quote open and one held."""
    day = BucketDay(desk_over(store, bucket_farm(asked=(30, 20)), seasons=20))
    day.walk(lagurus=90)
    day.cut(90, left=40, more=True)
    for stems in (5, 4):
        quote(stems)(day)
    day.done(lambda work: hold_quote(day.desk, work, order_of(day, 1), FRIDAY, override="a friend"))
    return day


def order_of(day: BucketDay, place: int) -> str:
    """The key of one of the two orders."""
    return day.desk.store.farm().orders[place].key


def quote(stems: int) -> Slip:
    """A quote for so many lagurus."""
    asked = QuoteAsked(FRIDAY + timedelta(days=2), lines=(OrderLine("", "", stems, Product("lagurus")),))
    return lambda day: day.done(lambda work: quote_wedding(day.desk, work, asked))


def _added(collection: str, **values: object) -> Slip:
    return lambda day: day.done(lambda work: add_row(day.desk, work, RowAsked(collection, values)))


def _changed(collection: str, key: str, **values: object) -> Slip:
    asked = RowAsked(collection, values)
    return lambda day: day.done(lambda work: change_row(day.desk, work, key, asked, expected=None))


def _stored(account: Account, stems: int) -> Slip:
    return lambda day: day.move(cool_store(day.desk)[0].pile, account, stems)


def _with_a_past_year(day: BucketDay) -> None:
    _added("past_years", key="y1", year=2025, variety="lagurus", stems=480, plants=100)(day)
    day.done(lambda work: take_back_row(work, "past_years", "y1"))


def _on_friday(slip: Slip) -> Slip:
    def then(day: BucketDay) -> None:
        on(day.desk, FRIDAY)
        try:
            slip(day)
        finally:
            on(day.desk, MONDAY)

    return then


def _quoted(job: Callable[..., object], place: int, *more: Any, **named: Any) -> Slip:
    return lambda day: day.done(lambda work: job(day.desk, work, order_of(day, place), *more, **named))


def _contract_and_deliver(day: BucketDay) -> None:
    _quoted(contract_quote, 1, override="a friend")(day)
    _on_friday(_quoted(fulfil_order, 1))(day)


SLIPS: Mapping[str, Slip] = {
    "a batch added": _added("batches", key="b9", variety="lagurus", sow_date="2027-06-12", bed="north", plants=40),
    "a batch changed": _changed("batches", "newer", plants=35),
    "the same batch changed": _changed("batches", "newer", plants=36, bed="south"),
    "a bed renamed": _changed("beds", "south", name="Pond bed"),
    "a kind added": _added("varieties", key="ammi", name="Bishop's flower"),
    "a kind changed": _changed("varieties", "lagurus", price_minor=500),
    "a customer changed": _changed("customers", "anna", notice_days=5),
    "a standing line changed": _changed("standing_lines", "anna-1", stems=25),
    "a week skipped": _added("changes", key="c1", order="bram-weekly", week="2027-W25", stems=0),
    "a walk": lambda day: day.walk(lagurus=80),
    "a cut": lambda day: day.cut(8, left=30, more=True),
    "a cut of one batch": lambda day: day.cut(5, batch="older", more=True),
    "a loss": _added("records", kind="lost", batch="newer"),
    "a quote": quote(6),
    "a hold": _quoted(hold_quote, 0, FRIDAY, override="a friend"),
    "a contract": _quoted(contract_quote, 1, override="a friend"),
    "stems let go": _quoted(release_quote, 1),
    "a cancellation": _quoted(cancel_quote, 1, reason="moved away"),
    "an order delivered": _contract_and_deliver,
    "stems thrown": _stored(Account.WASTE, 10),
    "stems to the stall": _stored(Account.STALL, 90),
    "a count of the store": lambda day: day.count(cool_store(day.desk)[0].pile, 85),
    "a list settled": lambda day: day.confirm(choices=Choices(acknowledged=frozenset({"anna", "bram"}))),
    "no mail": lambda day: day.done(lambda work: want_mail(work, "anna", wanted=False)),
    "mail again": lambda day: day.done(lambda work: want_mail(work, "anna", wanted=True)),
    "at home": lambda day: day.done(
        lambda work: tick_at_home(day.desk, work, TickAsked("lagurus", Needed.SEED, InHand.AT_HOME))
    ),
    "a past year taken out": _with_a_past_year,
    "shared evenly": lambda day: day.done(lambda work: keep_shares(day.desk, work, MONDAY, frozenset({"lagurus"}))),
    "availability": lambda day: send_availability(day.desk, "owner"),
}
"""By what somebody would call it."""


State = Mapping[tuple[object, ...], object]
"""All that a store says, thing by thing, the journal itself left out: rows, their order, promises, stems, notes."""


def state_of(store: Store) -> State:
    """What a store says now, read from its tables."""
    store._resident = None
    farm = store.farm()
    found: dict[tuple[object, ...], object] = {("site",): farm.site}
    for name in COLLECTIONS.values():
        rows = getattr(farm, name)
        found["order", name] = tuple(map(identity, rows))
        found |= {("row", name, identity(row)): row for row in rows}
    for one in store.promises():
        is_over = one.state in _OVER
        found["promise", one.line, one.due] = None if is_over else (one.order, one.state, one.stems, one.confidence)
    found |= {("stems", pile): stems for pile, stems in store.stem_balances().items()}
    for kind, said in KINDS.items():
        found |= {("note", kind, entry.seq): True for entry in store.entries_of(kind) if not said.is_quiet}
    return {thing: value for thing, value in found.items() if value is not None}


def without(start: State, first: State, both: State) -> State:
    """What is said after two slips, but for what the first of them made of the start."""
    expected = dict(both)
    for thing in {*start, *first}:
        was, made = start.get(thing), first.get(thing)
        if thing[0] == "order" or was == made:
            continue
        if thing[0] == "stems":
            expected[thing] = int(both.get(thing, 0)) - int(made or 0) + int(was or 0)  # type: ignore[call-overload]
        else:
            expected[thing] = was
    return {thing: value for thing, value in expected.items() if value and thing[0] != "order"}


def unordered(state: State) -> State:
    """A state without the order of rows."""
    return {thing: value for thing, value in state.items() if thing[0] != "order"}
