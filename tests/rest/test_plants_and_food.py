"""Sixty dangerous plants and the flowers that people eat, marked as food: by REST, by folder, and on paper."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest

from haulm.farm.varieties import Variety
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.warning.warn_early import notes_of
from support.desks import NOW, desk_over, sqlite_store
from support.door import Door
from support.known_farm import known_farm
from support.paper_reading import text_of
from support.plant_names import DANGEROUS, EATEN, Named

OpenDoor = Callable[[dict[str, bytes]], Door]


@pytest.fixture(scope="module")
def shared_door(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    """A door that stays open for all these names."""
    with ExitStack() as stack:
        store = sqlite_store(tmp_path_factory.mktemp("plants"))
        stack.callback(store.close)
        yield stack.enter_context(Door(desk_over(store, known_farm())))


def folder_of(plants: tuple[Named, ...]) -> dict[str, bytes]:
    """A farm whose further kinds are these plants, all marked as food."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(["key", "name", "botanical_name", "food_use"])
    rows.writerow(["lagurus", "Bunny tail", "", "no"])
    rows.writerow(["nigella", "Love-in-a-mist", "", "no"])
    rows.writerows([f"p{place}", *plant, "yes"] for place, plant in enumerate(plants))
    return known_farm(varieties=text.getvalue())


def test_there_are_sixty_of_one_sort_and_twenty_of_the_other() -> None:
    assert len(set(DANGEROUS)) >= 60 and len(set(EATEN)) >= 20


def test_a_folder_with_dangerous_plants_as_food_is_refused_row_by_row(open_door: OpenDoor) -> None:
    with pytest.raises(FolderRefused) as refused:
        open_door(folder_of(DANGEROUS))
    faults = refused.value.faults
    assert [fault.row for fault in faults] == [place + 4 for place in range(len(DANGEROUS))]
    assert {fault.column for fault in faults} == {"food_use"}
    for fault, plant in zip(faults, DANGEROUS, strict=True):
        assert plant.name[:20] in fault.found or plant.botanical_name in fault.found


def test_a_folder_with_flowers_that_are_eaten_is_imported_and_its_labels_say_so(open_door: OpenDoor) -> None:
    door = open_door(folder_of(EATEN))
    asked = "&".join(f"product=p{place}" for place in range(len(EATEN)))
    text = text_of(door.ask("GET", f"/paper/stall-labels.pdf?{asked}").content)
    assert text.count("Grown for food use") == len(EATEN) and "Not for food" not in text


@pytest.mark.parametrize("plant", DANGEROUS, ids=str)
def test_a_dangerous_plant_is_refused_as_food_when_it_is_entered(shared_door: Door, plant: Named) -> None:
    body = {"key": "new", "name": plant.name, "botanical_name": plant.botanical_name or None, "food_use": True}
    problem = shared_door.refused(422, "POST", "/v1/varieties", json=body)
    (error,) = problem["errors"]
    assert error["pointer"] == "/body/food_use"
    assert plant.name[:20] in error["found"] or plant.botanical_name in error["found"]
    assert error["accepted"].startswith("no")


@pytest.mark.parametrize("plant", EATEN, ids=str)
def test_a_flower_that_is_eaten_is_taken_as_food(shared_door: Door, plant: Named) -> None:
    key = f"eaten-{EATEN.index(plant)}"
    body = {"key": key, "name": plant.name, "botanical_name": plant.botanical_name or None, "food_use": True}
    assert shared_door.post("/v1/varieties", body)["food_use"] is True


def test_a_kind_becomes_no_food_by_any_change_of_its_names(door: Door) -> None:
    door.post("/v1/varieties", {"key": "edging", "name": "Calendula", "food_use": True})
    for change in ({"name": "Monkshood"}, {"botanical_name": "Aconitum"}, {"caution": "do not eat"}):
        problem = door.refused(422, "PATCH", "/v1/varieties/edging", json=change)
        assert problem["errors"][0]["pointer"] == "/body/food_use"
    assert door.patch("/v1/varieties/edging", {"name": "Monkshood", "food_use": False})["food_use"] is False


def test_no_dangerous_plant_that_was_stored_as_food_is_printed_as_food(open_door: OpenDoor) -> None:
    door = open_door(known_farm())
    with door.desk.store.unit_of_work(actor="test", now=NOW) as work:
        for place, plant in enumerate(DANGEROUS):
            work.put(Variety(f"p{place}", plant.name, plant.botanical_name or None, food_use=True))
        work.save()
    asked = "&".join(f"product=p{place}" for place in range(len(DANGEROUS)))
    text = text_of(door.ask("GET", f"/paper/stall-labels.pdf?{asked}").content)
    assert text.count("Not for food.") == len(DANGEROUS) and "Grown for food use" not in text


def test_a_name_of_several_plants_is_asked_about_until_its_botanical_name_says_which(door: Door) -> None:
    door.post("/v1/varieties", {"key": "white1", "name": "White lily"})
    door.post("/v1/varieties", {"key": "blue1", "name": "Monkshod"})
    asked = [note for note in notes_of(door.desk) if "lily" in note or "Monkshod" in note]
    assert len(asked) == 2 and "Lilium" in asked[0] and "is it monkshood (Aconitum)" in asked[1]

    door.patch("/v1/varieties/white1", {"botanical_name": "Lilium regale"})
    door.patch("/v1/varieties/blue1", {"botanical_name": "Aconitum napellus"})
    assert not [note for note in notes_of(door.desk) if "lily" in note or "Monkshod" in note]
    assert "poisonous" in (door.desk.plan().crops["blue1"].caution or "")
