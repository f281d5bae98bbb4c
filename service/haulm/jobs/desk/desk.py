"""The desk that every use case is given: the store, the planner and the clock; and what is settled or packed already.

A use case never looks for a store or a clock of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.planning.plan import Plan
from haulm.planning.planner import Planner
from haulm.planning.settled import Settled
from haulm.store.journal import Pile, Promise
from haulm.store.store import Store
from haulm.store.words import Account, PromiseState

_GONE = (Account.PACKED, Account.DELIVERED, Account.STALL, Account.DRIED, Account.WASTE)
"""Where stems are no longer to be given to anybody."""


@dataclass(frozen=True, slots=True)
class Desk:
    """What every use case is given.

    Attributes:
        store: where the farm is kept.
        planner: answers per version of the farm.
        today: the day in the farm's zone (or the day that stands for it): due dates, holds, seasons.
        now: the real time in UTC: entries and retries.
    """

    store: Store
    planner: Planner
    today: Callable[[], date]
    now: Callable[[], datetime]

    def plan(self) -> Plan:
        """The answers for the farm as it stands now."""
        return self.plan_of(self.store.farm())

    def plan_of(self, farm: Farm) -> Plan:
        """The answers for the farm at the version just read, or just locked."""
        return self.planner.plan(farm, self.today(), self._settled)

    def _settled(self) -> Settled:
        return settled_by(self.store.stem_balances(), settled_lines(self.store.promises()))


def settled_lines(promises: Iterable[Promise]) -> frozenset[tuple[str, date]]:
    """The lines that are settled or delivered, with their due days, and were not let go or taken back since."""
    found: set[tuple[str, date]] = set()
    delivered: set[tuple[str, date]] = set()
    for promise in promises:
        key = (promise.line, promise.due)
        if promise.state is PromiseState.DELIVERED:
            delivered.add(key)
        elif promise.state is PromiseState.SETTLED:
            found.add(key)
        elif promise.state is PromiseState.RELEASED:
            found.discard(key)
            delivered.discard(key)
    return frozenset(found | delivered)


def settled_by(balances: Mapping[Pile, int], lines: frozenset[tuple[str, date]] = frozenset()) -> Settled:
    """What the book of stems has settled, beside these lines."""
    booked = {(pile.product, pile.source): -stems for pile, stems in balances.items() if pile.account is Account.FIELD}
    return Settled(lines, gone_stems(balances), booked)


def gone_stems(balances: Mapping[Pile, int]) -> dict[tuple[Product, str], int]:
    """Stems that are no longer to be given to anybody, by product and the pile's name."""
    gone: dict[tuple[Product, str], int] = {}
    for pile, stems in balances.items():
        if pile.account in _GONE:
            gone[pile.product, pile.source] = gone.get((pile.product, pile.source), 0) + stems
    return gone
