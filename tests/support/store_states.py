"""What a store says, thing by thing, to be compared: before a slip, with it, and after it was taken back."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.farm.edits import COLLECTIONS, identity
from haulm.farm.snapshot import Farm
from haulm.jobs.journal.kinds import KINDS, QUIET
from haulm.store.store import Store
from haulm.store.words import PromiseState

_OVER = (PromiseState.RELEASED, PromiseState.LAPSED)
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
    notes = store.entries_of(*(kind for kind in KINDS if kind not in QUIET))
    found |= {("note", entry.kind, entry.seq): f"{dict(entry.facts)}" for entry in notes}
    found |= {("owed", *guard): debt for guard, debt in _owed(store, farm).items()}
    return {thing: value for thing, value in found.items() if value is not None}


def _owed(store: Store, farm: Farm) -> dict[tuple[object, ...], float]:
    """What promises have taken from the floors of orders that stand, where they took anything."""
    standing = {one.key for one in (*farm.orders, *farm.standing_orders)}
    last = {(row.order, row.due, row.line, row.part): row.debt for row in store.floor_rows() if not row.causes}
    return {guard: round(debt, 9) for guard, debt in last.items() if guard[0] in standing and debt}


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
