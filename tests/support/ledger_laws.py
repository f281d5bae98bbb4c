"""The laws of the two books, asked of a store as it stands: what the tables say is what the entries say."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable

from haulm.farm.orders import OrderLine
from haulm.store.journal import Pile, Promise, rebuilt_books, rebuilt_farm
from haulm.store.store import Store
from haulm.store.words import NEXT_STATES, Account, PromiseState


def broken_laws(store: Store) -> list[str]:
    """Every law of the books that does not hold, in a sentence; none where all is well."""
    entries = store.entries()
    books = rebuilt_books(entries)
    balances, promises, floors = store.stem_balances(), store.promises(), store.floor_rows()
    found = [
        *_said(promises == books.promises, "the table of promises is not what the entries say"),
        *_said(floors == books.floors, "the table of floors is not what the entries say"),
        *_said(balances == dict(books.balances), "the balances are not what the entries say"),
        *_said([entry.seq for entry in entries] == list(range(1, len(entries) + 1)), "the journal has a gap"),
    ]
    farm, rebuilt = store.farm(), rebuilt_farm(entries)
    same = (farm.orders, set(farm.order_lines), farm.batches) == (
        rebuilt.orders,
        set(rebuilt.order_lines),
        rebuilt.batches,
    )
    found += _said(same, "the farm's rows are not what the entries say")
    return [*found, *_unbalanced(balances), *_out_of_turn(promises)]


def held_by_line(store: Store) -> dict[str, PromiseState]:
    """Where the promise of each line stands."""
    return {promise.line: promise.state for promise in store.promises()}


def lines_by_order(lines: Iterable[OrderLine]) -> dict[str, list[str]]:
    """The keys of the lines of each order."""
    found: dict[str, list[str]] = defaultdict(list)
    for line in lines:
        found[line.order].append(line.key)
    return found


def _said(holds: bool, sentence: str) -> list[str]:
    return [] if holds else [sentence]


def _unbalanced(balances: dict[Pile, int]) -> list[str]:
    """Double entry: the accounts of each pile add up to nothing, and only the field is ever below zero."""
    sums: Counter[tuple[str, str]] = Counter()
    for pile, stems in balances.items():
        sums[pile.source, str(pile.product)] += stems
    found = [f"the accounts of {pile} add up to {total}" for pile, total in sums.items() if total]
    return found + [
        f"{pile} holds {stems}" for pile, stems in balances.items() if stems < 0 and pile.account is not Account.FIELD
    ]


def _out_of_turn(promises: tuple[Promise, ...]) -> list[str]:
    """Each record resolves the open one before it, at most once, and by a step that is allowed."""
    found: list[str] = []
    last: dict[tuple[str, object], Promise] = {}
    for promise in promises:
        before = last.get((promise.line, promise.due))
        resolves = before.number if before is not None and before.state.is_open else None
        if promise.resolves != resolves:
            found.append(f"promise {promise.number} resolves {promise.resolves}, not {resolves}")
        if before is not None and promise.state not in NEXT_STATES[before.state]:
            found.append(f"promise {promise.number} goes from {before.state} to {promise.state}")
        last[promise.line, promise.due] = promise
    resolved = Counter(promise.resolves for promise in promises if promise.resolves is not None)
    return found + [f"promise {number} is resolved {times} times" for number, times in resolved.items() if times > 1]
