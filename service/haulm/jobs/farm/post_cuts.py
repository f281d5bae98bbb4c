"""The book of stems follows what is written of cut stems: a cut, its correction, and another count of known stems."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.errors import NotAccepted
from haulm.evidence.seen import first_keys
from haulm.farm.edits import Row
from haulm.farm.records import KnownStems, Record
from haulm.farm.words import RecordKind
from haulm.jobs.farm.stems_in_store import CutStems, bring_in_cut, is_cut_stock, put_back, stems_cut
from haulm.language.words import _
from haulm.store.journal import Pile
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account

STEMS_CUT, CUT_CORRECTED = "stems-cut", "stems-cut-corrected"
_CUTS = (RecordKind.CUT, RecordKind.HUNG)
_NO_CUT = CutStems(0, 0)


def cut_before(work: UnitOfWork, row: Row) -> dict[Pile, CutStems]:
    """The cuts as they stand before a row is written; none where the row neither is one nor corrects a record."""
    if not isinstance(row, Record) or (row.kind not in _CUTS and row.corrects is None):
        return {}
    return stems_cut(work.changed_farm, work.stem_balances())


def post_cut(work: UnitOfWork, record: Record, before: Mapping[Pile, CutStems]) -> None:
    """Post what a record that was just written says of cut stems.

    Stems that a list has packed from the field before anybody wrote down their cut are not stored again.

    Raises:
        NotAccepted: it corrects a cut to fewer stems than have left the store.
    """
    farm = work.changed_farm
    now = stems_cut(farm, work.stem_balances())
    if record.corrects is not None:
        first = first_keys(farm.records)
        corrected = first.get(record.corrects, record.corrects)
        _count_again(work, record, corrected, before)
    pile = next((pile for pile in now if pile.source == record.key), None)
    if pile is not None and record.kind in _CUTS:
        facts = {
            "stems": now[pile].cut,
            "packed_before": now[pile].cut - now[pile].left,
            "product": str(pile.product),
        }
        bring_in_cut(work, before, entry=work.enter(STEMS_CUT, f"records/{record.key}", facts))


def _count_again(work: UnitOfWork, record: Record, cut: str, before: Mapping[Pile, CutStems]) -> None:
    """Post the number of a cut that a record corrects; it is nought where that record is of a kind of its own."""
    now = stems_cut(work.changed_farm, work.stem_balances())
    pile = next((pile for pile in (*now, *before) if pile.source == cut), None)
    if pile is None:
        return
    was, stems = before.get(pile, _NO_CUT), now.get(pile, _NO_CUT).cut
    first = work.last_entry(STEMS_CUT, f"records/{cut}")
    facts = {"stems": stems, "was": was.cut, "record": record.key}
    seq = work.enter(CUT_CORRECTED, f"records/{cut}", facts, corrects=first.seq if first is not None else None)
    less = _less(work, pile, (stems, was.cut - was.left), where="count")
    put_back(work, pile, less, entry=seq, key=f"counted:{seq}:{cut}")
    if record.kind is RecordKind.CORRECTED:
        bring_in_cut(work, before, entry=seq)


def post_recount(work: UnitOfWork, before: KnownStems, after: KnownStems) -> None:
    """Post what another count of cut or dried known stems takes out of the store again.

    Raises:
        NotAccepted: fewer stems than have left the store.
    """
    if not is_cut_stock(before):
        return
    is_same = is_cut_stock(after) and after.product == before.product
    pile = Pile(before.key, before.product, Account.STORE)
    less = _less(work, pile, (after.stems if is_same else 0, 0), where="stems")
    if less:
        facts = {"stems": after.stems, "was": before.stems}
        seq = work.enter("known-stems-counted", f"known_stems/{before.key}", facts)
        put_back(work, pile, less, entry=seq, key=f"counted:{seq}:{before.key}")


def _less(work: UnitOfWork, pile: Pile, counted: tuple[int, int], *, where: str) -> int:
    """Stems of a pile in the store that were not cut after all; `counted`: stems, and of them packed beforehand."""
    stems, packed_before = counted
    balances = work.stem_balances()
    booked = -balances.get(Pile(pile.source, pile.product, Account.FIELD), 0)
    less, there = booked - max(0, stems - packed_before), balances.get(pile, 0)
    if less > there:
        accepted = _("at least {least}: they have left the store").format(least=packed_before + booked - there)
        raise NotAccepted(where=where, found=str(stems), accepted=accepted)
    return max(0, less)
