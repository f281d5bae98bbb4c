"""The stems that a settled line was sent, by the book of stems: what was packed for it, less what came back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.bucket_lines import bunched
from haulm.jobs.bucket_day.confirmed_lists import OF_SETTLED, subject_of
from haulm.store.journal import posting_from_json
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account

_SPARE = "spare"


@dataclass(frozen=True, slots=True)
class PackedStems:
    """Stems of one pile that a line was sent; `is_spare` where they are its breakage allowance."""

    product: Product
    source: str
    is_spare: bool
    stems: int


def packed_of(work: UnitOfWork, day: date, line: str, due: date) -> list[PackedStems]:
    """What a line of a list was sent, in the order of packing; what has left is sent all the same."""
    start = f"{line}:{due}:"
    sums: dict[tuple[Product, str, bool], int] = {}
    for entry in work.entries_of(*OF_SETTLED, about=subject_of(day)):
        for posting in map(posting_from_json, entry.body.get("stems", ())):
            if not posting.key.startswith(start):
                continue
            key = (posting.product, posting.source, posting.key.removeprefix(start).startswith(f"{_SPARE}:"))
            if posting.account_to is Account.PACKED:
                sums[key] = sums.get(key, 0) + posting.stems
            elif posting.account_from is Account.PACKED and posting.account_to is not Account.DELIVERED:
                sums[key] = sums.get(key, 0) - posting.stems
    found = [PackedStems(*key, stems) for key, stems in sums.items() if stems]
    return sorted(found, key=lambda one: one.is_spare)


def posting_key(line: str, due: date, packed: PackedStems, what: str) -> str:
    """The key of a posting of a line's stems; `what` tells it apart from its others."""
    spare = f"{_SPARE}:" if packed.is_spare else ""
    return f"{line}:{due}:{spare}{what}:{packed.product}:{packed.source}"


def line_with(
    line: Mapping[str, Any],
    packed: Iterable[PackedStems],
    sources: Iterable[Mapping[str, Any]],
    crops: Mapping[str, Crop],
) -> dict[str, Any]:
    """The facts of a settled line that change with its stems.

    Args:
        line: the line as it was.
        packed: what it is sent now.
        sources: what is known of its piles, as a list says where stems come from.
        crops: every variety, for its bunch.
    """
    known = {(one["product"], one["stock"] or ""): one for one in sources}
    own: list[dict[str, Any]] = []
    spare: list[dict[str, Any]] = []
    by_variety: dict[str, int] = {}
    for one in packed:
        where = known.get((str(one.product), one.source), {"ready_date": None, "length_cm": None, "cut_date": None})
        source = {**where, "product": str(one.product), "stems": one.stems, "stock": one.source}
        (spare if one.is_spare else own).append(source)
        if not one.is_spare:
            by_variety[one.product.variety] = by_variety.get(one.product.variety, 0) + one.stems
    bunches, over = bunched(by_variety, crops, is_loose=line["class"] == LineClass.WEDDING)
    return {
        "filled": sum(by_variety.values()),
        "bunches": bunches,
        "over": over,
        "from": own,
        "spare_filled": sum(source["stems"] for source in spare),
        "spare_from": spare,
    }
