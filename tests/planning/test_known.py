"""Stems somebody is sure of: what was packed before its cut was written down is not there twice."""

from datetime import date

from haulm.farm.products import Product
from haulm.farm.records import KnownStems
from haulm.matching.supply import Lot
from haulm.planning.known import known_blocks, still_in_store
from haulm.planning.settled import Settled, packed_from_field, pile_name

AMMI = Product("ammi")
MONDAY, THURSDAY = date(2027, 7, 5), date(2027, 7, 8)


def cut(day: date, stems: int) -> KnownStems:
    return KnownStems(f"cut-{day}", AMMI, day, stems, day)


def packed(day: date, stems: int) -> Settled:
    return Settled(packed={(AMMI, pile_name(Lot(day), 0)): stems})


def test_a_later_record_of_the_cut_does_not_bring_packed_stems_back() -> None:
    left = still_in_store([cut(MONDAY, 100)], packed(date(2027, 7, 3), 60))
    assert [stock.stems for stock in left] == [40]


def test_packed_stems_come_off_the_oldest_cut_first_and_off_each_only_once() -> None:
    left = still_in_store([cut(THURSDAY, 50), cut(MONDAY, 40)], packed(date(2027, 7, 3), 60))
    assert [(stock.ready_date, stock.stems) for stock in left] == [(MONDAY, 0), (THURSDAY, 30)]


def test_stems_ready_after_a_cut_were_not_in_it() -> None:
    left = still_in_store([cut(MONDAY, 40)], packed(THURSDAY, 30))
    assert [stock.stems for stock in left] == [40]


def test_a_count_packed_by_its_key_is_no_field_pile() -> None:
    stock = KnownStems("2027-07-03.0", AMMI, MONDAY, 40)
    settled = Settled(packed={(AMMI, stock.key): 15})
    assert packed_from_field(settled, AMMI) == []
    assert known_blocks([stock], settled)[AMMI, 0].stems.tolist() == [[25]]


def test_stems_that_are_booked_as_a_cuts_own_are_never_taken_for_packed_ones() -> None:
    stock = cut(MONDAY, 40)
    settled = Settled(packed=packed(date(2027, 7, 3), 60).packed, booked={(AMMI, stock.key): 30})
    left = still_in_store([stock, cut(THURSDAY, 80)], settled)
    assert [found.stems for found in left] == [30, 30]
