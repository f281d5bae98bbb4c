"""A cut that was written down wrong: its correction puts the book of stems right as well."""

from __future__ import annotations

from itertools import pairwise

from haulm.errors import NotAccepted
from haulm.farm.products import Product
from haulm.farm.records import Record
from haulm.farm.words import RecordKind
from haulm.planning.seen import first_keys
from haulm.store.journal import Pile, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account

STEMS_CUT, CUT_CORRECTED = "stems-cut", "stems-cut-corrected"
_WAY = (Account.FIELD, Account.CUT, Account.STORE)


def post_correction(work: UnitOfWork, record: Record) -> None:
    """Post what a record that was just written changes, where it corrects a cut whose stems are in the book.

    Raises:
        NotAccepted: fewer stems than have left the store already.
    """
    if record.kind is not RecordKind.CORRECTED:
        return
    cut = first_keys(work.changed_farm.records).get(record.key)
    entry = None if cut is None else work.last_entry(STEMS_CUT, f"records/{cut}")
    if cut is None or entry is None:
        return
    product, packed_before = Product.parse(entry.facts["product"]), int(entry.facts["packed_before"])
    stored = int(entry.facts["stems"]) - packed_before
    stored += sum(int(found.facts["stems"]) for found in work.entries_of(CUT_CORRECTED, about=entry.subject))
    more = max(0, (record.count or 0) - packed_before) - stored
    if not more:
        return
    there = work.stem_balances().get(Pile(cut, product, Account.STORE), 0)
    if there + more < 0:
        gone = packed_before + stored - there
        raise NotAccepted(where="count", found=str(record.count), accepted=f"at least {gone}: they have left the store")
    seq = work.enter(CUT_CORRECTED, entry.subject, {"stems": more, "record": record.key}, corrects=entry.seq)
    for start, end in pairwise(_WAY if more > 0 else _WAY[::-1]):
        work.post(StemPosting(f"cut:{record.key}:{start}", product, cut, start, end, abs(more)), entry=seq)
