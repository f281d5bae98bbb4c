"""The cool store: what is in it, from when until when it may leave, and what becomes of the rest."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from haulm.errors import NotAccepted
from haulm.farm.products import Product
from haulm.farm.records import KnownStems
from haulm.farm.snapshot import Farm
from haulm.farm.words import Form
from haulm.jobs.desk import Desk
from haulm.jobs.sound_rows import require_sound
from haulm.planning.keeping import crops_of
from haulm.store.journal import Pile, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account

WAYS_OUT = (Account.STALL, Account.DRIED, Account.WASTE)
"""Where stems may go that nobody has ordered."""


@dataclass(frozen=True, slots=True)
class Stored:
    """Stems of one cut in the cool store.

    Attributes:
        pile: the record of their cut.
        product: what they are.
        stems: how many there are.
        cut_on: when they were cut, or None where nobody knows.
        usable_from, usable_until: the days between which they may leave; None where the cut's day is not known.
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
    farm, today = desk.store.farm(), desk.today()
    balances = desk.store.stem_balances()
    found = [_stored(farm, today, pile, stems) for pile, stems in balances.items() if pile.account is Account.STORE]
    return tuple(sorted(found, key=lambda one: (one.cut_on or date.min, str(one.product), one.pile)))


def move_stored(desk: Desk, work: UnitOfWork, pile: str, to: Account, stems: int) -> None:
    """Let stems of the cool store go to the stall, to drying or to waste; what is hung to dry is stock once dry.

    Raises:
        NotAccepted: the place is none of these, or no such stems are in the store.
        StemsNotThere: fewer are there.
    """
    if to not in WAYS_OUT:
        raise NotAccepted(where="to", found=f"'{to}'", accepted=f"one of {', '.join(WAYS_OUT)}")
    if stems < 1:
        raise NotAccepted(where="stems", found=str(stems), accepted="1 or more")
    kept = next(
        (found for found in work.stem_balances() if (found.source, found.account) == (pile, Account.STORE)), None
    )
    if kept is None:
        raise NotAccepted(where="pile", found=f"'{pile}'", accepted="a pile that is in the cool store")
    seq = work.enter("stems-moved", f"piles/{pile}", {"to": str(to), "stems": stems})
    key = f"moved:{seq}:{pile}:{to}"
    work.post(StemPosting(key, kept.product, pile, Account.STORE, to, stems), entry=seq)
    if to is Account.DRIED:
        dried = _dried(work.farm, desk.today(), kept, stems, seq)
        require_sound(work.farm, [dried])
        work.put(dried, entry=seq)


def _stored(farm: Farm, today: date, pile: Pile, stems: int) -> Stored:
    crop = crops_of(farm)[pile.product.variety]
    cut = next((record.date for record in farm.records if record.key == pile.source), None)
    cut = cut or next((known.cut_date for known in farm.known_stems if known.key == pile.source), None)
    if cut is None:
        return Stored(pile.source, pile.product, stems, None, None, None, is_over=False)
    first, last = cut + timedelta(days=farm.site.condition_days), cut + timedelta(days=crop.hold_days)
    return Stored(pile.source, pile.product, stems, cut, first, last, today > last)


def _dried(farm: Farm, today: date, pile: Pile, stems: int, seq: int) -> KnownStems:
    """The stock that hung stems become."""
    crop = crops_of(farm)[pile.product.variety]
    ready = today + timedelta(days=crop.dry_days)
    until = None if crop.dried_keep_days is None else ready + timedelta(days=crop.dried_keep_days)
    product = Product(pile.product.variety, Form.DRIED)
    return KnownStems(f"hung-{seq}", product, ready, stems, None, None, until, f"hung on {today}")
