"""The laws of the two books, asked of a store as it stands: what the tables say is what the entries say."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.words import Form, RecordKind
from haulm.jobs.bucket_day.confirmed_lists import OF_SETTLED, settled_deliveries
from haulm.planning.plan import Plan
from haulm.store.journal import Entry, Pile, Promise, posting_from_json, rebuilt_books, rebuilt_farm
from haulm.store.store import Store
from haulm.store.words import NEXT_STATES, Account, PromiseState

_WAY_IN = (Account.FIELD, Account.CUT)


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
    found += [*_unbalanced(balances), *_out_of_turn(promises), *_never_cut(entries, farm)]
    return [*found, *_unsettled(store.entries_of(*OF_SETTLED), balances)]


def ever_cut(farm: Farm) -> Counter[tuple[str, str]]:
    """Stems that were cut, hung, there before or bought in, by the name and product they have in the book of stems."""
    found: Counter[tuple[str, str]] = Counter()
    varieties = {batch.key: batch.variety for batch in farm.batches}
    for record in farm.records:
        if record.kind not in (RecordKind.CUT, RecordKind.HUNG):
            continue
        later = said_of(record, farm.records)[1:]
        if any(said.kind is not RecordKind.CORRECTED for said in later):
            continue
        last = later[-1] if later else record
        variety = record.variety or varieties[record.batch or ""]
        form = Form.DRIED if record.kind is RecordKind.HUNG else Form.FRESH
        found[record.key, str(Product(variety, form))] += last.count or 0
    for known in farm.known_stems:
        if known.cut_date is not None or known.product.form is Form.DRIED:
            found[known.key, str(known.product)] += known.stems
    return found


def said_of(first: Record, records: Iterable[Record]) -> list[Record]:
    """A record and what was said of it later, as it was written down."""
    found = [first]
    for record in records:
        if record.corrects in {said.key for said in found}:
            found.append(record)
    return found


def held_by_line(store: Store) -> dict[str, PromiseState]:
    """Where the promise of each line stands."""
    return {promise.line: promise.state for promise in store.promises()}


def known_cut(plan: Plan) -> dict[tuple[str, str], int]:
    """The cut and dried stems that the match counts on, by the name and product they have in the book of stems."""
    return {
        (lot.key, str(product)): int(stems[0])
        for (product, _), block in plan.growth.known.items()
        for lot, stems in zip(block.lots, block.stems, strict=True)
        if lot.cut is not None or product.form is Form.DRIED
    }


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


def _never_cut(entries: Iterable[Entry], farm: Farm) -> list[str]:
    """Of each pile no more ever enters the store than was ever cut, and no more comes back to it than it gave."""
    entered: Counter[tuple[str, str]] = Counter()
    gave: Counter[tuple[tuple[str, str], Account]] = Counter()
    found: list[str] = []
    for posting in (posting_from_json(item) for entry in entries for item in entry.body.get("stems", ())):
        pile, out, into = (posting.source, str(posting.product)), posting.account_from, posting.account_to
        if into is Account.STORE and out in _WAY_IN:
            entered[pile] += posting.stems
        elif out is Account.STORE and into in _WAY_IN:
            entered[pile] -= posting.stems
        elif out is Account.STORE:
            gave[pile, into] += posting.stems
        elif into is Account.STORE:
            gave[pile, out] -= posting.stems
            back = gave[pile, out]
            found += _said(back >= 0, f"{-back} stems of {pile} came back that the store never gave")
    cut = ever_cut(farm)
    too_many = {pile: stems for pile, stems in entered.items() if stems > cut[pile]}
    return found + [
        f"{stems} stems of {pile} entered the store, {cut[pile]} were cut" for pile, stems in too_many.items()
    ]


def _unsettled(entries: Iterable[Entry], balances: dict[Pile, int]) -> list[str]:
    """What is packed is what is settled and has not left, and what is delivered is what has left."""
    settled = settled_deliveries(entries).values()
    found: list[str] = []
    for account, has_left in ((Account.PACKED, False), (Account.DELIVERED, True)):
        lines = [line for one in settled if one.has_left is has_left for line in one.lines]
        said = sum(int(line["filled"]) + int(line["spare_filled"]) for line in lines)
        held = sum(stems for pile, stems in balances.items() if pile.account is account)
        found += _said(said == held, f"{held} stems are {account}, and the lists say {said}")
    return found


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
