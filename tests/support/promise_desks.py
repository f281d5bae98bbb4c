"""A farm lived through at its desk: promises of every kind by the jobs, and between them all that is no promise.

What stands after a promise is told from the farm's rows and `demand`; who gets what, the verdict and the floors are the
judge's.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from haulm.advice.acceptance import Verdict
from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.farm.edits import COLLECTIONS, with_rows
from haulm.farm.orders import Change, Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.products import Choice, Product
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm.words import Form, OrderKind, OrderStatus, RecordKind, Role, StandingStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import floors_of
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.promises.change_quote import change_quote
from haulm.jobs.promises.end_quote import release_quote
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.lapse_holds import lapse_holds
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.store.unit_of_work import UnitOfWork
from support.desks import NOW, on
from support.promise_comparison import floor_differences, thing_of, verdict_differences
from support.promise_judge import EXACT, UNNOTICED, Asked, Book, Ruling, Standing, Thing, ruling
from support.promise_match import Ground
from support.summer_farm import BATCHES, PRODUCTS

SEASONS = 200
LEVELS = (0.5, 0.8)
AskingRow = Order | OrderLine | StandingOrder | StandingLine | Change
OPEN = (OrderStatus.CONTRACTED, OrderStatus.ON_HOLD)


@dataclass(frozen=True, eq=False)
class Promise:
    """A promise about to be made: what is asked, the farm as it would stand, and the job that does it."""

    asked: Asked
    farm: Farm
    do: Callable[[UnitOfWork, str | None], Verdict | None]


@dataclass
class LivedFarm:
    """A desk over a farm that has promised nothing yet, the judge's book beside it, and where the two differ."""

    desk: Desk
    dice: random.Random
    book: Book = field(default_factory=Book)
    faults: list[str] = field(default_factory=list)
    told: Counter[str] = field(default_factory=Counter)
    step: str = ""

    def live(self, promises: int) -> LivedFarm:
        """So many promises asked, with other things between them."""
        made = 0
        while made < promises:
            if self.dice.random() < 0.45:
                self._something_else()
            if (promise := self._promise()) is not None:
                self._ask(promise)
                made += 1
        return self

    def moved(self) -> None:
        """Something was written that is no accepted promise."""
        self.book.moved(self.standing())

    def farm(self) -> Farm:
        """The farm as it stands."""
        return self.desk.store.farm()

    def standing(self, farm: Farm | None = None) -> Standing:
        """How sure everything is by the judge, of the farm as it stands or of another with what grows today."""
        result = self.desk.plan().result
        asked = demand(self.farm() if farm is None else farm, self.desk.today())
        return Standing(Ground(result.supply, result.keeping), asked)

    def _ask(self, promise: Promise) -> None:
        before, after = self.standing(), self.standing(promise.farm)
        right = ruling(before, after, promise.asked, self.book)
        self.told["accepted" if right.accepted else "refused"] += 1
        self.told["falls"] += bool(right.falls)
        found = self._judged(promise, None)
        self._compare(found, right)
        if right.accepted:
            self.book.promised(after, promise.asked)
        elif self.dice.random() < 0.3:
            self._judged(promise, "a regular")
            self.book.overridden(after, promise.asked)
            self.told["overridden"] += 1
        self._check()

    def _judged(self, promise: Promise, override: str | None) -> Verdict | bool:
        """The program's verdict; whether it was accepted, where the job gives none."""
        try:
            with self.desk.store.unit_of_work(actor="test", now=NOW) as work:
                found = promise.do(work, override)
                work.save()
        except PromiseRefused as refusal:
            return refusal.verdict
        return True if found is None else found

    def _compare(self, found: Verdict | bool, right: Ruling) -> None:
        if isinstance(found, Verdict):
            self._say(verdict_differences(found, right))
        elif found != right.accepted:
            self._say([f"accepted {found}, rightly {right.accepted}: {right.falls}"])

    def _check(self) -> None:
        """The floors kept are the judge's, and nothing is under its floor by more than a point."""
        plan = self.desk.plan()
        floors = floors_of(self.desk, plan)
        told: dict[Thing, tuple[float, float]] = {}
        for what, sure in plan.moment.sure.items():
            told[thing_of(what)] = (floors.of(sure), floors.debt_of(what))
            if sure.confidence < floors.of(sure) - UNNOTICED - EXACT:
                self._say([f"{what} is at {sure.confidence}, its floor at {floors.of(sure)}"])
        self._say(floor_differences(told, self.book))
        self.told["owing"] += any(one.debt > 0 for one in self.book.accounts.values())

    def _say(self, faults: list[str]) -> None:
        self.faults += [f"{self.step}: {fault}" for fault in faults]

    def _something_else(self) -> None:
        """Anything that is no promise."""
        happening = self.dice.choice(
            (self._record, self._count, self._recount, self._release, self._less, self._day, self._pause)
        )
        self.step, then = happening.__name__, (self.desk.store.version(), self.desk.today())
        own = happening()
        if then == (self.desk.store.version(), self.desk.today()):
            return
        if own is None:
            self.moved()
        else:
            self.book.overridden(self.standing(), own)
        self.told[happening.__name__] += 1
        self._check()

    def _write(self, collection: str, values: dict[str, object], key: str | None = None) -> None:
        with self.desk.store.unit_of_work(actor="test", now=NOW) as work:
            asked = RowAsked(collection, values)
            if key is None:
                add_row(self.desk, work, asked)
            else:
                change_row(self.desk, work, key, asked, expected=None)
            work.save()

    def _record(self) -> None:
        lost = {record.batch for record in self.farm().records if record.kind is RecordKind.LOST}
        batch, day = self.dice.choice([name for name in BATCHES if name not in lost]), self.desk.today().isoformat()
        may_lose = len(lost) < 2 and self.dice.random() < 0.3
        seen: tuple[tuple[str, int | None], ...] = (("not_yet", None), ("standing", self.dice.randint(3, 30)))
        kind, count = ("lost", None) if may_lose else self.dice.choice(seen)
        values: dict[str, object] = {"date": day, "kind": kind, "batch": batch, "count": count}
        self._write("records", {name: value for name, value in values.items() if value is not None})

    def _count(self) -> None:
        ready = self.desk.today() + timedelta(days=self.dice.randint(1, 12))
        product, stems = self.dice.choice(PRODUCTS), self.dice.randint(1, 8)
        key = f"k{10 + len(self.farm().known_stems)}"
        self._write("known_stems", {"key": key, "product": product, "ready_date": ready.isoformat(), "stems": stems})

    def _recount(self) -> None:
        self._write("known_stems", {"stems": self.dice.randint(0, 9)}, self.dice.choice(self.farm().known_stems).key)

    def _release(self) -> None:
        standing = [order for order in self.farm().orders if order.status in OPEN and self._is_ahead(order)]
        if standing:
            with self.desk.store.unit_of_work(actor="test", now=NOW) as work:
                release_quote(self.desk, work, self.dice.choice(standing).key)
                work.save()

    def _less(self) -> Asked | None:
        """A line asks fewer stems: promised anew, and nobody has to judge it."""
        lines = [line for line in self._open_lines() if line.stems > max(1, line.minimum)]
        if not lines:
            return None
        line = self.dice.choice(lines)
        due = self._order(line.order).due_date
        self.told["fewer of a delivery that alone owes"] += self._only_the_delivery_owes(line, due)
        self._write("order_lines", {"stems": line.stems - 1}, line.key)
        return Asked(line.order, None, frozenset({(line.key, due)}))

    def _only_the_delivery_owes(self, line: OrderLine, due: date) -> bool:
        delivery, alone = ((line.order, due, key) for key in (None, line.key))
        accounts = self.book.accounts
        return delivery in accounts and accounts[delivery].debt > 0 and accounts[alone].debt == 0

    def _pause(self) -> None:
        """A weekly order asks nothing for a while."""
        running = [order for order in self.farm().standing_orders if order.status is StandingStatus.ACTIVE]
        if running:
            self._write("standing_orders", {"status": "paused"}, self.dice.choice(running).key)

    def _day(self) -> None:
        """A day or two go by, and holds lapse."""
        on(self.desk, self.desk.today() + timedelta(days=self.dice.randint(1, 2)))
        lapse_holds(self.desk, "test")

    def _promise(self) -> Promise | None:
        """A quote held or contracted, a hold contracted, a line that asks more, a weekly line, a change of one week."""
        quotes = (*(self._new,) * 4, self._contract, self._another_version)
        rows = (self._more, self._other_day, self._weekly, self._week, self._weekly_again)
        asking = self.dice.choice((*quotes, *rows))
        self.step = asking.__name__
        self.told[asking.__name__] += 1
        return asking()

    def _new(self) -> Promise:
        kind = self.dice.choice((OrderKind.WEDDING, OrderKind.WEDDING, OrderKind.ONE_OFF))
        due = self.desk.today() + timedelta(days=self.dice.randint(5, 24))
        lines = tuple(self._asks() for _ in range(self.dice.choice((1, 2, 2, 3))))
        asked = QuoteAsked(due, lines=lines, customer=self.dice.choice(("anna", "ben")), kind=kind, due_date=due)
        with self.desk.store.unit_of_work(actor="test", now=NOW) as work:
            key = quote_wedding(self.desk, work, asked).order.key
            work.save()
        self.moved()
        return self._step_of(self._order(key), self.dice.random() < 0.4)

    def _contract(self) -> Promise | None:
        held = [o for o in self.farm().orders if o.status is OrderStatus.ON_HOLD and self._is_ahead(o)]
        held = [order for order in held if order.hold_until and order.hold_until >= self.desk.today()]
        return self._step_of(self.dice.choice(held), False) if held else None

    def _step_of(self, order: Order, is_hold: bool) -> Promise:
        today, level = self.desk.today(), self.dice.choice(LEVELS)
        until = today + timedelta(days=3) if is_hold else None
        status = OrderStatus.ON_HOLD if is_hold else OrderStatus.CONTRACTED
        stands = replace(order, status=status, hold_until=until, committed_on=order.committed_on or today)
        lines = [line for line in self.farm().order_lines if line.order == order.key]
        rows = (stands, *(replace(line, promised_confidence=level) for line in lines))

        def do(work: UnitOfWork, override: str | None) -> Verdict:
            if until is not None:
                return hold_quote(self.desk, work, order.key, until, level=level, override=override).verdict
            return contract_quote(self.desk, work, order.key, level=level, override=override).verdict

        return Promise(Asked(order.key, level), with_rows(self.farm(), rows), do)

    def _another_version(self) -> Promise | None:
        """A quote that holds stems is written anew, with other lines."""
        standing = self._promised_orders()
        if not standing:
            return None
        order, level = self.dice.choice(standing), self.dice.choice(LEVELS)
        lines = tuple(self._asks() for _ in range(self.dice.choice((1, 2, 3))))
        named = [
            replace(line, key=f"{order.key}-{number}", order=order.key, promised_confidence=level)
            for number, line in enumerate(lines, start=1)
        ]
        farm = self.farm()
        others = tuple(line for line in farm.order_lines if line.order != order.key)
        event = order.event_date or order.due_date
        asked = QuoteAsked(event, lines=lines, kind=order.kind, due_date=order.due_date, confidence=level)

        def do(work: UnitOfWork, override: str | None) -> Verdict | None:
            return change_quote(self.desk, work, order.key, asked, override=override).verdict

        return Promise(Asked(order.key, level), replace(farm, order_lines=(*others, *named)), do)

    def _other_day(self) -> Promise | None:
        """An order is moved to another day."""
        standing = self._promised_orders()
        if not standing:
            return None
        order = self.dice.choice(standing)
        day = self.desk.today() + timedelta(days=self.dice.randint(5, 24))
        lines = [line for line in self.farm().order_lines if line.order == order.key]
        if day == order.due_date or not lines:
            return None
        level = max(line.promised_confidence or 0.0 for line in lines)
        moved = replace(order, due_date=day, event_date=day)
        own = frozenset((line.key, day) for line in lines)
        return self._row(Asked(order.key, level, own), moved, {"due_date": str(day), "event_date": str(day)})

    def _promised_orders(self) -> list[Order]:
        """The orders that ask for stems today."""
        asking = {line.order for line in demand(self.farm(), self.desk.today())}
        return [order for order in self.farm().orders if order.key in asking]

    def _more(self) -> Promise | None:
        lines = self._open_lines()
        if not lines:
            return None
        line = self.dice.choice(lines)
        more = replace(line, stems=line.stems + self.dice.randint(1, 6))
        assert line.promised_confidence is not None
        own = frozenset({(line.key, self._order(line.order).due_date)})
        return self._row(Asked(line.order, line.promised_confidence, own), more, {"stems": more.stems})

    def _weekly(self) -> Promise:
        """A line of a weekly order: the order with its first line, or one more line."""
        farm, today = self.farm(), self.desk.today()
        if not farm.standing_orders or self.dice.random() < 0.3:
            first = Week.of(today + timedelta(days=7))
            order = {"customer": "anna", "weekday": "thu", "first_week": str(first), "last_week": str(first.plus(2))}
            key = f"s{len(farm.standing_orders)}"
            self._write("standing_orders", {"key": key, "committed_on": today.isoformat(), **order})
            self.moved()
        order_key = self.dice.choice(self.farm().standing_orders).key
        number = len(self.farm().standing_lines)
        product = Product(self.dice.choice(PRODUCTS))
        line = StandingLine(f"{order_key}-{number}", order_key, self.dice.randint(1, 8), product)
        rows = with_rows(self.farm(), [line])
        own = {(one.line, one.due) for one in demand(rows, today) if one.line == line.key}
        values = {"key": line.key, "order": order_key, "stems": line.stems, "product": str(product)}
        return self._row(Asked(order_key, None, frozenset(own)), line, values, is_new=True)

    def _weekly_again(self) -> Promise | None:
        """A weekly order that was paused runs again: promised anew."""
        paused = [order for order in self.farm().standing_orders if order.status is StandingStatus.PAUSED]
        if not paused:
            return None
        runs = replace(self.dice.choice(paused), status=StandingStatus.ACTIVE)
        asked = demand(with_rows(self.farm(), [runs]), self.desk.today())
        own = frozenset((line.line, line.due) for line in asked if line.order == runs.key)
        return self._row(Asked(runs.key, None, own), runs, {"status": "active"}) if own else None

    def _week(self) -> Promise | None:
        """One week of a weekly order asks more of every line."""
        asked = [line for line in demand(self.farm(), self.desk.today()) if line.order.startswith("s")]
        if not asked:
            return None
        one = self.dice.choice(asked)
        most = max(line.stems for line in asked if (line.order, line.due) == (one.order, one.due))
        change = Change(f"c{len(self.farm().changes)}", one.order, Week.of(one.due), most + self.dice.randint(0, 5))
        own = {(x.line, x.due) for x in self._asking_more(asked, with_rows(self.farm(), [change]))}
        if not own:
            return None
        values = {"key": change.key, "order": one.order, "week": str(change.week), "stems": change.stems}
        return self._row(Asked(one.order, None, frozenset(own)), change, values, is_new=True)

    def _asking_more(self, before: list[DatedLine], farm: Farm) -> list[DatedLine]:
        stood = {(line.line, line.due): line.stems for line in before}
        lines = demand(farm, self.desk.today())
        return [
            line for line in lines if line.order.startswith("s") and line.stems > stood.get((line.line, line.due), 0)
        ]

    def _row(self, asked: Asked, row: AskingRow, values: dict[str, object], *, is_new: bool = False) -> Promise:
        collection = COLLECTIONS[type(row)]

        def do(work: UnitOfWork, override: str | None) -> None:
            wanted = RowAsked(collection, values, override)
            if is_new:
                add_row(self.desk, work, wanted)
            else:
                change_row(self.desk, work, row.key, wanted, expected=None)

        return Promise(asked, with_rows(self.farm(), [row]), do)

    def _asks(self) -> OrderLine:
        stems, is_choice = self.dice.randint(1, 12), self.dice.random() < 0.25
        product, other = self.dice.sample(PRODUCTS, 2)
        return OrderLine(
            "",
            "",
            stems,
            None if is_choice else Product(product),
            Choice((Role.ACCENT,), (), (Form.FRESH,)) if is_choice else None,
            minimum=self.dice.randint(1, stems) if self.dice.random() < 0.3 else 0,
            substitutes=(Product(other),) if self.dice.random() < 0.4 else (),
            spare=self.dice.choice((0, 0, 2, 4)),
        )

    def _open_lines(self) -> list[OrderLine]:
        """The lines that ask for stems today."""
        asked = {line.line for line in demand(self.farm(), self.desk.today())}
        return [line for line in self.farm().order_lines if line.key in asked]

    def _order(self, key: str) -> Order:
        return next(order for order in self.farm().orders if order.key == key)

    def _is_ahead(self, order: Order) -> bool:
        return order.due_date >= self.desk.today() + timedelta(days=1)
