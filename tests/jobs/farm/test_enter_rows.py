"""Rows that belong together are entered all or none, under one entry, with keys of their own."""

import pytest

from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.enter_rows import FLORIST_ENTERED, KINDS_PICKED, KeyOf, NewRow, enter_rows, picked_kind
from haulm.jobs.journal.refusals import NotTakenBack
from haulm.jobs.journal.take_back_entry import put_back_entry, take_back_entry
from support.desks import MONDAY, done

ROWS = [
    NewRow("customers", {"name": "Hedge and Rose"}),
    NewRow(
        "standing_orders",
        {"customer": KeyOf(0), "weekday": "tue", "first_week": "2027-W27", "last_week": "2027-W30"},
    ),
    NewRow("standing_lines", {"order": KeyOf(1), "product": "lagurus", "stems": "30"}),
    NewRow("standing_lines", {"order": KeyOf(1), "product": "nigella", "stems": "20"}),
]


def test_a_florist_with_two_kinds_is_one_entry(desk: Desk) -> None:
    version = desk.store.farm().version

    customer, order, *lines = done(desk, lambda work: enter_rows(work, FLORIST_ENTERED, ROWS, MONDAY))

    farm = desk.store.farm()
    assert farm.version == version + 1
    assert (order.customer, [line.order for line in lines]) == (customer.key, [order.key] * 2)
    assert len({line.key for line in farm.standing_lines}) == len(farm.standing_lines)
    assert [line.bunch_price_minor for line in lines] == [450, 500], "each keeps the list's price of its day"
    assert "hedge" not in customer.key, "a name is forgotten when somebody asks, a key is not"
    assert desk.store.entries()[-1].facts == {"rows": 4}


def test_one_row_that_does_not_fit_keeps_all_of_them_out(desk: Desk) -> None:
    before = desk.store.farm()
    wrong = [*ROWS[:2], NewRow("standing_lines", {"order": KeyOf(1), "product": "peony", "stems": "30"})]
    with pytest.raises(FolderRefused) as refused:
        done(desk, lambda work: enter_rows(work, FLORIST_ENTERED, wrong, MONDAY))
    assert {fault.within for fault in refused.value.faults} == {(2,)}
    assert desk.store.farm() == before


def test_kinds_picked_from_the_library_keep_its_figures(desk: Desk) -> None:
    rows = [picked_kind("zinnia"), picked_kind("zinnia", "white")]
    plain, white = done(desk, lambda work: enter_rows(work, KINDS_PICKED, rows, MONDAY))
    assert (plain.name, white.name, white.colour) == ("Zinnia", "Zinnia, white", "white")
    assert plain.key != white.key and white.key.startswith("zinnia")
    crops = desk.plan().crops
    assert crops[plain.key].library_kind == crops[white.key].library_kind == "zinnia"


@pytest.mark.parametrize("rows", [ROWS, [picked_kind("zinnia"), picked_kind("cosmos")]])
def test_what_was_entered_together_is_taken_back_together_and_put_back(desk: Desk, rows: list[NewRow]) -> None:
    before = desk.store.farm()
    done(desk, lambda work: enter_rows(work, FLORIST_ENTERED, rows, MONDAY))
    entered, seq = desk.store.farm(), desk.store.entries()[-1].seq

    done(desk, lambda work: take_back_entry(desk, work, seq))
    taken = desk.store.farm()
    assert (taken.varieties, taken.customers, taken.standing_lines) == (
        before.varieties,
        before.customers,
        before.standing_lines,
    )
    if any(row.collection == "customers" for row in rows):
        with pytest.raises(NotTakenBack, match="write it anew"):
            done(desk, lambda work: put_back_entry(desk, work, seq))
    else:
        done(desk, lambda work: put_back_entry(desk, work, seq))
        assert desk.store.farm().varieties == entered.varieties
