"""Kinds once marked as food that are none: not food at once, said once, and the mark taken back."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from haulm.farm.varieties import Variety
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.writer import write_folder
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, change_row
from haulm.jobs.farm.food_marks import TAKEN_BACK, food_marks_in_words, take_back_food_marks
from haulm.jobs.farm.import_farm import export_farm, import_farm
from haulm.jobs.warning.run_due import run_due
from haulm.jobs.warning.see_today import see_today
from support.desks import MONDAY, NOW, on

OLD = (
    Variety("blue", "Monkshood", food_use=True),
    Variety("spires", "Foxglove 'Alba'", food_use=True, price_minor=400),
    Variety("edging", "Calendula", food_use=True),
)


def stored(desk: Desk) -> None:
    """Rows as they were stored before the register was there."""
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        for variety in OLD:
            work.put(variety)
        work.save()


def marks(desk: Desk) -> dict[str, bool | None]:
    return {
        variety.key: variety.food_use for variety in desk.store.farm().varieties if variety in OLD or variety.food_use
    }


def test_a_kind_that_the_register_bars_is_no_food_before_anybody_takes_the_mark_back(desk: Desk) -> None:
    stored(desk)
    crops = desk.plan().crops
    assert {key: crops[key].food_use for key in ("blue", "spires", "edging")} == {
        "blue": False,
        "spires": False,
        "edging": True,
    }
    (note,) = food_marks_in_words(desk)
    assert note.startswith("Some kinds were marked as food and are not: ")
    assert "'Monkshood' is Aconitum" in note and "'Foxglove 'Alba'' is Digitalis" in note and "Calendula" not in note


def test_the_mark_is_taken_back_once_with_an_entry_that_says_why(desk: Desk) -> None:
    stored(desk)
    assert take_back_food_marks(desk, "clock") == ("blue", "spires")
    assert take_back_food_marks(desk, "clock") == ()
    entries = desk.store.entries_of(TAKEN_BACK)
    assert [entry.subject for entry in entries] == ["varieties/blue", "varieties/spires"]
    assert "'Monkshood' is Aconitum" in entries[0].facts["why"]
    assert marks(desk) == {"edging": True}


def test_today_says_it_for_a_week_and_then_no_more(desk: Desk) -> None:
    stored(desk)
    run_due(desk)
    (note,) = [note for note in see_today(desk).notes if "marked as food" in note]
    assert note.count("Monkshood") == 1 and note.count("Foxglove") == 1
    on(desk, MONDAY + timedelta(days=7))
    run_due(desk)
    assert not [note for note in see_today(desk).notes if "marked as food" in note]


def test_a_kind_that_lost_its_mark_can_be_changed_like_any_other(desk: Desk) -> None:
    stored(desk)
    take_back_food_marks(desk, "clock")
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        row = change_row(desk, work, "spires", RowAsked("varieties", {"price_minor": 500}), expected=None)
    assert (row.price_minor, row.food_use) == (500, False)


def test_a_farm_without_such_kinds_hears_nothing(desk: Desk) -> None:
    assert take_back_food_marks(desk, "clock") == () and list(food_marks_in_words(desk)) == []


def test_a_change_of_another_column_takes_an_old_void_mark_back_and_is_not_refused(desk: Desk) -> None:
    stored(desk)
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        row = change_row(desk, work, "spires", RowAsked("varieties", {"price_minor": 500}), expected=None)
        work.save()
    assert (row.price_minor, row.food_use) == (500, False)
    assert [entry.subject for entry in desk.store.entries_of(TAKEN_BACK)] == ["varieties/spires"]
    (note,) = food_marks_in_words(desk)
    assert note.count("Foxglove") == 1


@pytest.mark.parametrize("values", [{"food_use": True}, {"food_use": True, "price_minor": 500}])
def test_a_void_mark_that_is_asked_for_anew_is_refused_all_the_same(desk: Desk, values: dict[str, object]) -> None:
    stored(desk)
    with desk.store.unit_of_work(actor="test", now=NOW) as work, pytest.raises(FolderRefused):
        change_row(desk, work, "spires", RowAsked("varieties", values), expected=None)


def test_a_name_that_makes_a_mark_void_is_refused_and_takes_nothing_back(desk: Desk) -> None:
    stored(desk)
    with desk.store.unit_of_work(actor="test", now=NOW) as work, pytest.raises(FolderRefused):
        change_row(desk, work, "edging", RowAsked("varieties", {"name": "Monkshood"}), expected=None)


def test_an_export_has_no_void_mark_and_comes_back(desk: Desk, tmp_path: Path) -> None:
    stored(desk)
    farm = export_farm(desk.store, tmp_path / "copy")
    assert {variety.key: variety.food_use for variety in farm.varieties if variety in OLD or variety.food_use} == {
        "edging": True
    }
    assert import_farm(desk.store, tmp_path / "copy", replace=True, actor="test", now=NOW).name


@pytest.mark.parametrize("after_upkeep", [False, True])
def test_an_old_copy_of_the_own_farm_with_a_void_mark_is_imported_without_it(
    desk: Desk, tmp_path: Path, *, after_upkeep: bool
) -> None:
    stored(desk)
    write_folder(desk.store.farm(), tmp_path / "copy")
    if after_upkeep:
        take_back_food_marks(desk, "clock")
        with desk.store.unit_of_work(actor="test", now=NOW) as work:
            change_row(desk, work, "spires", RowAsked("varieties", {"price_minor": 500}), expected=None)
            work.save()
    imported = import_farm(desk.store, tmp_path / "copy", replace=True, actor="test", now=NOW)
    told = [words for words in imported.warnings if "the mark is taken back" in words]
    assert len(told) == 2 and "'Monkshood' is Aconitum" in told[0] and "Foxglove" in told[1]
    assert marks(desk) == {"edging": True}


def test_a_void_mark_of_a_kind_that_was_not_marked_before_is_refused(desk: Desk, tmp_path: Path) -> None:
    with desk.store.unit_of_work(actor="test", now=NOW) as work:
        work.put(Variety("blue", "Monkshood"))
        work.save()
    farm = desk.store.farm()
    marked = tuple(replace(one, food_use=True) if one.key == "blue" else one for one in farm.varieties)
    write_folder(replace(farm, varieties=marked), tmp_path / "copy")
    with pytest.raises(FolderRefused):
        import_farm(desk.store, tmp_path / "copy", replace=True, actor="test", now=NOW)
