"""Sixty dangerous plants on stall label, cut list, bucket papers and quote: each is warned of and not for food."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest

from haulm.farm.place_words import Place
from haulm.farm.warnings import warnings_at
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import known_farm
from support.paper_reading import text_of
from support.plant_names import DANGEROUS, EATEN, Named

CUT_DAY = "2027-06-14"
KEYS = {f"p{at}": plant for at, plant in enumerate(DANGEROUS)} | {f"e{at}": plant for at, plant in enumerate(EATEN)}


def table(*rows: tuple[object, ...]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


def farm(cut_date: str) -> dict[str, bytes]:
    """A farm with stems and a contracted line of each plant, so that all of them are cut on one day."""
    kinds = [(key, plant.name, plant.botanical_name, "yes" if key[0] == "e" else "") for key, plant in KEYS.items()]
    return known_farm(
        varieties=table(
            ("key", "name", "botanical_name", "food_use", "hold_days", "stand_days"),
            ("lagurus", "Bunny tail", "", "", 4, 3),
            ("nigella", "Love-in-a-mist", "", "", 4, 3),
            *((*kind, 4, 3) for kind in kinds),
        ),
        known_stems=table(
            ("key", "product", "ready_date", "stems", "cut_date"),
            *((f"k{key}", key, CUT_DAY, 30, cut_date) for key in KEYS),
        ),
        standing_orders="",
        standing_lines="",
        orders=table(
            ("key", "customer", "kind", "due_date", "committed_on", "status"),
            ("party", "bram", "one_off", "2027-06-15", "2027-06-01", "contracted"),
        ),
        order_lines=table(("key", "order", "stems", "product"), *((f"l{key}", "party", 10, key) for key in KEYS)),
    )


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], Door]]:
    """Opens a door to the farm, its stems standing or cut on a day."""
    with ExitStack() as stack:

        def open_door(cut_date: str) -> Door:
            store = sqlite_store(tmp_path_factory.mktemp("dangerous"))
            stack.callback(store.close)
            files = {name: text for name, text in farm(cut_date).items() if text.strip()}
            return stack.enter_context(Door(desk_over(store, files)))

        yield open_door


@pytest.fixture(scope="module")
def door(opened: Callable[[str], Door]) -> Door:
    """The door to the farm while all of it stands."""
    return opened("")


def paper(door: Door, path: str) -> str:
    answer = door.ask("GET", path)
    assert answer.status_code == 200, answer.text
    return text_of(answer.content)


@pytest.fixture(scope="module")
def stall(door: Door) -> dict[str, str]:
    """The text of the stall label of each plant."""
    return {key: paper(door, f"/paper/stall-labels.pdf?product={key}") for key in KEYS}


@pytest.fixture(scope="module")
def cut(door: Door) -> str:
    """The cut list of all of them."""
    return paper(door, f"/paper/cut-lists/{CUT_DAY}.pdf")


@pytest.mark.parametrize("key", [key for key in KEYS if key[0] == "p"])
def test_the_stall_label_of_a_dangerous_plant_warns_and_is_not_for_food(stall: dict[str, str], key: str) -> None:
    assert "DANGER" in stall[key] or "CARE" in stall[key]
    assert "Not for food." in stall[key] and "Grown for food use" not in stall[key]


@pytest.mark.parametrize("key", [key for key in KEYS if key[0] == "e"])
def test_the_stall_label_of_a_flower_that_is_eaten_says_so(stall: dict[str, str], key: str) -> None:
    assert "Grown for food use" in stall[key] and "Not for food" not in stall[key] and "DANGER" not in stall[key]


def test_the_cut_list_warns_of_every_dangerous_plant_once(door: Door, cut: str) -> None:
    assert "Not for food." in cut
    crops = door.desk.plan().crops
    warned = warnings_at(Place.CUT, [crops[key] for key in KEYS])
    assert {KEYS[key].name for key in KEYS if key[0] == "p"} <= {name for one in warned for name in one.kinds}
    for one in warned:
        assert cut.count(f"{one.mark} {one.names}: {one.words}") == 1, one


def test_the_bucket_papers_warn_of_every_dangerous_plant_once(opened: Callable[[str], Door]) -> None:
    door = opened(CUT_DAY)
    door.settle(f"/v1/bucket-lists/{CUT_DAY}")
    crops = door.desk.plan().crops
    warned = warnings_at(Place.CONDITIONING, [crops[key] for key in KEYS])
    for kind in ("list.pdf", "delivery.pdf"):
        text = paper(door, f"/paper/bucket-lists/{CUT_DAY}/{kind}")
        assert "Everything else is not for food" in text
        for one in warned:
            assert text.count(f"{one.mark} {one.names}: {one.words}") == 1, (kind, one)


def test_a_quote_of_every_dangerous_plant_says_take_care_and_not_for_food(door: Door) -> None:
    lines = [{"product": key, "stems": 5} for key in KEYS if key[0] == "p"]
    quote = door.post("/v1/quotes", {"date": "2027-06-16", "customer": "bram", "lines": lines[:30]})["id"]
    text = paper(door, f"/paper/quotes/{quote}.pdf")
    assert "Take care" in text and "Not for food" in text and "legal" not in text.casefold()
    for line in lines[:30]:
        plant: Named = KEYS[str(line["product"])]
        assert text.count(plant.name) >= 2, plant
