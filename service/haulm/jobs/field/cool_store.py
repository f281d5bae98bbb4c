"""The cool store: what is in it, from when until when it may leave, and what becomes of the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from haulm.errors import NotAccepted
from haulm.farm.limits import TEXT_SENTENCE, is_text
from haulm.farm.products import Product
from haulm.farm.records import KnownStems
from haulm.farm.snapshot import Farm
from haulm.farm.words import Form
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.farm.stems_in_store import bring_in, last_day, standing_cut, stored_stems, sure_stock
from haulm.language.words import _
from haulm.planning.keeping import crops_of
from haulm.store.errors import StemsNotThere
from haulm.store.journal import Pile, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account

WAYS_OUT = (Account.STALL, Account.DRIED, Account.WASTE)
"""Where stems may go that nobody has ordered."""


def ways_out(product: Product) -> tuple[Account, ...]:
    """Where stems of a product may go: dried ones are not hung again."""
    return tuple(way for way in WAYS_OUT if product.form is Form.FRESH or way is not Account.DRIED)


@dataclass(frozen=True, slots=True)
class Stored:
    """Stems of one cut, or of stock that was there or bought in, in the cool store.

    Attributes:
        pile: the record of their cut, or the key of the known stems.
        product: what they are.
        stems: how many there are.
        cut_on: when they were cut, or None where nobody knows.
        usable_from, usable_until: the days between which they may leave; None where that is not known, or for dried
            stems without an end.
        is_over: whether they are past that.
    """

    pile: str
    product: Product
    stems: int
    cut_on: date | None
    usable_from: date | None
    usable_until: date | None
    is_over: bool


def cool_store(desk: Desk) -> tuple[Stored, ...]:
    """What is in the cool store, the oldest first."""
    farm, today, balances = desk.store.farm(), desk.today(), desk.store.stem_balances()
    stock = sure_stock(farm, balances)
    there = stored_stems(farm, balances, today)
    found = [_stored(farm, today, (pile, stems), stock.get(pile)) for pile, stems in there.items()]
    return tuple(sorted(found, key=lambda one: (one.cut_on or one.usable_from or date.min, str(one.product), one.pile)))


def move_stored(desk: Desk, work: UnitOfWork, pile: str, to: Account, stems: int, *, reason: str = "") -> None:
    """Let stems of the cool store go to the stall, to drying or to waste; what is hung to dry is stock once dry.

    Args:
        desk: where the work is done.
        work: the unit of work it is part of.
        pile: which stems.
        to: where they go.
        stems: how many.
        reason: why, for stems that are thrown away.

    Raises:
        NotAccepted: the place is none of these, no such stems are in the store, or dried ones are to be hung.
        StemsNotThere: fewer are there.
    """
    if to not in WAYS_OUT:
        raise NotAccepted(
            where="to", found=f"'{to}'", accepted=_("one of {ways_out}").format(ways_out=", ".join(WAYS_OUT))
        )
    if stems < 1:
        raise NotAccepted(where="stems", found=str(stems), accepted=_("1 or more"))
    if not is_text(reason):
        raise NotAccepted(where="reason", found=_("other text"), accepted=_(TEXT_SENTENCE))
    balances = work.stem_balances()
    there = stored_stems(work.farm, balances, desk.today())
    kept = _kept(there, pile)
    product, ways = kept.product, ways_out(kept.product)
    if to not in ways:
        raise NotAccepted(
            where="to",
            found=_("'{to}', for dried stems").format(to=to),
            accepted=_("one of {ways}").format(ways=", ".join(ways)),
        )
    if stems > there[kept]:
        raise StemsNotThere(source=pile, product=str(product), account=str(kept.account), held=there[kept], asked=stems)
    why = {"reason": reason} if reason else {}
    seq = work.enter("stems-moved", f"piles/{pile}", {"to": str(to), "stems": stems, **why})
    key = f"moved:{seq}:{pile}:{to}"
    bring_in(work, kept, max(0, stems - balances.get(kept, 0)), entry=seq, key=f"{key}:in")
    work.post(StemPosting(key, product, pile, Account.STORE, to, stems), entry=seq)
    if to is Account.DRIED:
        dried = _dried(work.farm, desk.today(), kept, stems, seq)
        require_sound(work.farm, [dried])
        work.put(dried, entry=seq)


def count_stored(desk: Desk, work: UnitOfWork, pile: str, counted: int) -> int:
    """Take stock of a pile: the difference is written down; gives it, below nought where stems are missing.

    Missing stems are waste. Where there are more, the record of their cut, or the count of the stock, said too few and
    is put right by as many.

    Raises:
        NotAccepted: no such stems are in the store, or the number is below nought or what is there already.
    """
    there = stored_stems(work.farm, work.stem_balances(), desk.today())
    kept = _kept(there, pile)
    difference = counted - there[kept]
    if counted < 0 or not difference:
        accepted = _("0 or more, and another number than the {there} that are there").format(there=there[kept])
        raise NotAccepted(where="counted", found=str(counted), accepted=accepted)
    facts = {"was": there[kept], "counted": counted, "difference": difference}
    seq = work.enter("store-counted", f"piles/{pile}", facts)
    if difference < 0:
        key = f"counted:{seq}:{pile}"
        bring_in(work, kept, max(0, -difference - work.stem_balances().get(kept, 0)), entry=seq, key=f"{key}:in")
        work.post(StemPosting(key, kept.product, pile, Account.STORE, Account.WASTE, -difference), entry=seq)
        return difference
    stock = next((known for known in work.farm.known_stems if known.key == pile), None)
    if stock is not None:
        work.put(replace(stock, stems=stock.stems + difference), entry=seq)
        return difference
    record = standing_cut(work.farm, pile)
    values = {"kind": "corrected", "corrects": record.key, "date": record.date.isoformat()}
    add_row(desk, work, RowAsked("records", {**values, "count": (record.count or 0) + difference}))
    return difference


def _kept(there: Mapping[Pile, int], pile: str) -> Pile:
    found = next((one for one in there if one.source == pile), None)
    if found is None:
        raise NotAccepted(where="pile", found=f"'{pile}'", accepted=_("a pile that is in the cool store"))
    return found


def _stored(farm: Farm, today: date, found: tuple[Pile, int], stock: KnownStems | None) -> Stored:
    pile, stems = found
    crop = crops_of(farm)[pile.product.variety]
    if stock is None:
        record = next((record for record in farm.records if record.key == pile.source), None)
        if record is None:
            return Stored(pile.source, pile.product, stems, None, None, None, is_over=False)
        stock = KnownStems(record.key, pile.product, record.date, stems, record.date)
    first, last = stock.ready_date, last_day(stock, crop)
    if stock.product.form is not Form.DRIED and stock.cut_date is not None:
        first = stock.cut_date + timedelta(days=farm.site.condition_days)
    is_over = last is not None and today > last
    return Stored(pile.source, pile.product, stems, stock.cut_date, first, last, is_over)


def _dried(farm: Farm, today: date, pile: Pile, stems: int, seq: int) -> KnownStems:
    """The stock that hung stems become."""
    crop = crops_of(farm)[pile.product.variety]
    ready = today + timedelta(days=crop.dry_days)
    until = None if crop.dried_keep_days is None else ready + timedelta(days=crop.dried_keep_days)
    product = Product(pile.product.variety, Form.DRIED)
    return KnownStems(f"hung-{seq}", product, ready, stems, None, None, until, _("hung on {today}").format(today=today))
