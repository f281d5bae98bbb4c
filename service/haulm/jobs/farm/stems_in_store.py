"""What is in the cool store: all that was cut, whether its way there was posted or not, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from haulm.errors import NotAccepted
from haulm.evidence.seen import first_keys, seen, standing_records
from haulm.farm.products import Product
from haulm.farm.records import KnownStems, Record
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, RecordKind
from haulm.jobs.desk.desk import gone_stems, settled_by
from haulm.language.words import _
from haulm.planning.keeping import crops_of
from haulm.planning.known import still_in_store
from haulm.planning.settled import is_from_field
from haulm.store.journal import Pile, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account

_WAY_IN = (Account.FIELD, Account.CUT, Account.STORE)


@dataclass(frozen=True, slots=True)
class CutStems:
    """The stems of one cut or hanging: as the record says, and those that no list had packed from the field before."""

    cut: int
    left: int


def cut_variety(farm: Farm, batch: str | None, variety: str | None) -> str:
    """The kind of a cut: as it says, or its batch's.

    Raises:
        NotAccepted: there is no such batch.
    """
    if variety is not None:
        return variety
    found = next((one.variety for one in farm.batches if one.key == batch), None)
    if found is None:
        raise NotAccepted(where="batch", found=f"'{batch}'", accepted=_("the key of a batch"))
    return found


def stems_cut(farm: Farm, balances: Mapping[Pile, int]) -> dict[Pile, CutStems]:
    """Every cut and hanging that stands, by its pile in the store."""
    crops, first = crops_of(farm), first_keys(farm.records)
    cut: dict[Pile, int] = {}
    for record in standing_records(farm.records):
        if record.kind in (RecordKind.CUT, RecordKind.HUNG):
            form = Form.DRIED if record.kind is RecordKind.HUNG else Form.FRESH
            product = Product(cut_variety(farm, record.batch, record.variety), form)
            cut[Pile(first.get(record.key, record.key), product, Account.STORE)] = record.count or 0
    left = {_pile(stock): stock.stems for stock in still_in_store(seen(farm, crops).cut, settled_by(balances))}
    return {pile: CutStems(stems, left.get(pile, stems)) for pile, stems in cut.items()}


def sure_stock(farm: Farm, balances: Mapping[Pile, int]) -> dict[Pile, KnownStems]:
    """Cut and dried stock as the match has it, less what is gone: cut, hung, there before or bought in."""
    gone = gone_stems(balances)
    cut = still_in_store(seen(farm, crops_of(farm)).cut, settled_by(balances))
    stock = (*(known for known in farm.known_stems if is_cut_stock(known)), *cut)
    return {_pile(one): replace(one, stems=one.stems - gone.get((one.product, one.key), 0)) for one in stock}


def stored_stems(farm: Farm, balances: Mapping[Pile, int], today: date) -> dict[Pile, int]:
    """The stems of every pile that is in the cool store.

    Of cut and dried stock these are what the match counts on. Seconds, which it does not count on, are there as posted.
    Cuts of an imported folder whose stems may leave no more are left out: nobody has posted where they went.
    """
    stock, crops = sure_stock(farm, balances), crops_of(farm)
    records, posted = {record.key for record in farm.records}, {pile.source for pile in balances}
    found: dict[Pile, int] = {}
    for pile, one in stock.items():
        is_to_come = one.cut_date is not None and one.cut_date > today
        last = last_day(one, crops[one.product.variety])
        is_forgotten = pile.source in records - posted and last is not None and last < today
        if one.stems > 0 and not is_to_come and not is_forgotten:
            found[pile] = one.stems
    standing = standing_keys(farm)
    for pile, stems in balances.items():
        if pile.account is Account.STORE and pile not in stock and not never_cut(pile.source, standing):
            found[pile] = stems
    return found


def last_day(stock: KnownStems, crop: Crop) -> date | None:
    """The last day on which cut or dried stock may leave; None where there is none."""
    days = [stock.usable_until] if stock.usable_until is not None else []
    if stock.product.form is not Form.DRIED and stock.cut_date is not None:
        days.append(stock.cut_date + timedelta(days=crop.hold_days))
    return min(days, default=None)


def is_cut_stock(known: KnownStems) -> bool:
    """Whether known stems are cut or dried, and so in the store; the others stand in the field."""
    return known.cut_date is not None or known.product.form is Form.DRIED


def standing_cut(farm: Farm, pile: str) -> Record:
    """The record of a cut or hanging as it stands, by the name of its pile: the key of its first record.

    Raises:
        NotAccepted: there is none.
    """
    first = first_keys(farm.records)
    found = next((one for one in standing_records(farm.records) if first.get(one.key, one.key) == pile), None)
    if found is None:
        raise NotAccepted(where="pile", found=f"'{pile}'", accepted=_("stems whose cut is written down"))
    return found


def standing_keys(farm: Farm) -> frozenset[str]:
    """The keys of known stems that stand in the field."""
    return frozenset(known.key for known in farm.known_stems if not is_cut_stock(known))


def never_cut(source: str, standing: frozenset[str]) -> bool:
    """Whether stems under this name in the book were packed straight from the field."""
    return is_from_field(source) or source in standing


def bring_in(work: UnitOfWork, pile: Pile, stems: int, *, entry: int, key: str) -> None:
    """Post stems of a pile from the field into the store."""
    for start, end in pairwise(_WAY_IN) if stems else ():
        work.post(StemPosting(f"{key}:{start}", pile.product, pile.source, start, end, stems), entry=entry)


def put_back(work: UnitOfWork, pile: Pile, stems: int, *, entry: int, key: str) -> None:
    """Post stems of a pile from the store to the field: they were never cut after all."""
    for start, end in pairwise(_WAY_IN[::-1]) if stems else ():
        work.post(StemPosting(f"{key}:{start}", pile.product, pile.source, start, end, stems), entry=entry)


def bring_in_cut(work: UnitOfWork, before: Mapping[Pile, CutStems], *, entry: int) -> None:
    """Post the stems of cuts that are left now and were not left before into the store."""
    for pile, found in stems_cut(work.changed_farm, work.stem_balances()).items():
        more = found.left - (before[pile].left if pile in before else 0)
        if more > 0:
            bring_in(work, pile, more, entry=entry, key=f"cut:{entry}:{pile.source}")


def _pile(stock: KnownStems) -> Pile:
    return Pile(stock.key, stock.product, Account.STORE)
