"""Stems somebody is sure of, as blocks of the match's pools, less what is already packed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import numpy as np

from haulm.farm.products import Product
from haulm.farm.records import KnownStems
from haulm.farm.words import Form
from haulm.matching.supply import Block, Lot
from haulm.planning.settled import Settled, packed_from_field

PoolKey = tuple[Product, int]
"""Product and length class [cm]; 0 where the length is not stated."""


def known_blocks(known: Iterable[KnownStems], settled: Settled) -> dict[PoolKey, Block]:
    """One block per product and length, the same in every season.

    Args:
        known: counts somebody is sure of.
        settled: what is already packed out of them.
    """
    rows: dict[PoolKey, list[tuple[Lot, int]]] = {}
    for stock in known:
        left = stock.stems - settled.packed.get((stock.product, stock.key), 0)
        if left > 0:
            rows.setdefault((stock.product, stock.length_cm or 0), []).append((lot_of(stock), left))
    return {key: _block(lots) for key, lots in rows.items()}


def still_in_store(cut: Iterable[KnownStems], settled: Settled) -> tuple[KnownStems, ...]:
    """Stems of cut records less those that had been packed from the field before anybody wrote down the cut.

    A confirmed list packs stems that are still standing; the record of their cut, made later, counts them again. They
    come off the oldest cut that can have held them, and never off stems that the book has stored as that cut's own.
    """
    found: list[KnownStems] = []
    owed: dict[Product, list[tuple[date, int]]] = {}
    for stock in sorted(cut, key=lambda stock: stock.ready_date):
        if stock.product not in owed:
            owed[stock.product] = packed_from_field(settled, stock.product)
        booked = settled.booked.get((stock.product, stock.key), 0)
        open_stems = max(0, stock.stems - booked)
        left = stock.stems
        still_owed: list[tuple[date, int]] = []
        for ready, stems in owed[stock.product]:
            gone = min(open_stems, stems) if ready <= stock.ready_date else 0
            open_stems -= gone
            left -= gone
            if stems > gone:
                still_owed.append((ready, stems - gone))
        owed[stock.product] = still_owed
        found.append(replace(stock, stems=left))
    return tuple(found)


def lot_of(stock: KnownStems) -> Lot:
    """The lot of one count; the cut date of dried stems does not matter."""
    cut = None if stock.product.form is Form.DRIED else stock.cut_date
    return Lot(stock.ready_date, cut, stock.usable_until, stock.key)


def _block(rows: list[tuple[Lot, int]]) -> Block:
    rows.sort(key=lambda row: row[0].order)
    return Block(tuple(lot for lot, _ in rows), np.array([[stems] for _, stems in rows], np.int32))
