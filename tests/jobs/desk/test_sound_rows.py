"""Rows are checked against the whole farm: every fault at once, each by the way to its row in what was sent."""

import pytest

from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.sound_rows import food_faults, require_sound
from support.farms import customer, farm, order, order_line, variety


def refused(*rows: object, ways: tuple[tuple[str | int, ...], ...] = ()) -> FolderRefused:
    with pytest.raises(FolderRefused) as refusal:
        require_sound(farm(), rows, ways)  # type: ignore[arg-type]
    return refusal.value


def test_rows_that_need_each_other_are_sound_together_and_not_alone() -> None:
    made = order(customer="ben")

    require_sound(farm(), [customer("ben"), made, order_line()])
    (fault,) = refused(made, order_line()).faults
    assert (fault.place, fault.column, fault.found) == ("orders", "customer", "'ben'")


def test_every_fault_is_told_and_none_says_a_place_in_the_farms_own_rows() -> None:
    found = refused(order(customer="ben"), order_line(product="peony"), order_line("wedding-2", product="dahlia"))

    assert [(fault.place, fault.found) for fault in found.faults] == [
        ("orders", "'ben'"),
        ("order_lines", "'peony'"),
        ("order_lines", "'dahlia'"),
    ]
    assert {(fault.row, fault.within) for fault in found.faults} == {(None, ())}


def test_a_fault_names_the_way_to_its_row_in_what_was_sent() -> None:
    ways = (("order",), ("lines", 0), ("lines", 1))

    found = refused(order(), order_line(), order_line("wedding-2", product="dahlia"), ways=ways)

    assert [(fault.within, fault.found) for fault in found.faults] == [(("lines", 1), "'dahlia'")]


def test_a_poisonous_kind_marked_as_food_is_refused_with_the_plant_and_a_sound_one_is_not() -> None:
    foxglove = variety("foxglove", name="Foxglove", botanical_name="Digitalis purpurea", food_use=True)
    borage = variety("borage", name="Borage", botanical_name="Borago officinalis", food_use=True)

    (fault,) = food_faults("varieties", [borage, foxglove], first_row=0)
    assert (fault.row, fault.column) == (1, "food_use")
    assert fault.found.startswith("yes, though ") and "Digitalis" in fault.found
    (told,) = refused(foxglove).faults
    assert (told.column, told.found, told.row) == ("food_use", fault.found, None)
    assert list(food_faults("varieties", [variety("foxglove", name="Foxglove")], first_row=0)) == []
