"""Checked against two published lists of poisonous plants, a veterinary and a city poison centre's.

ASPCA Animal Poison Control, Toxic and Non-Toxic Plants (dogs and cats, September 2025), and the list of plants that are
poisonous to people of the New York City Poison Control Center; copied into data_hazards, whose SOURCE.txt says how they
were read.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

from haulm.crop_library.library import library
from haulm.farm.words import HazardClass
from haulm.hazard_register.tables import register

DATA = Path(__file__).parent / "data_hazards"
CLASS_OF_LIST = {"aspca": HazardClass.PETS, "nyc_health": HazardClass.POISON}
LISTED = ("toxic", "poisonous")


@cache
def rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the tables."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def warns(genus: str, hazard_class: HazardClass) -> bool:
    """Whether the register speaks of this way of doing harm."""
    return any(hazard.hazard_class is hazard_class for hazard in register().hazards[genus])


@pytest.mark.parametrize("name", CLASS_OF_LIST)
def test_whatever_a_list_calls_toxic_the_register_warns_of(name: str) -> None:
    listed = [row["genus"] for row in rows(name) if row["says"] in LISTED]

    assert len(listed) >= 50
    assert [genus for genus in listed if not warns(genus, CLASS_OF_LIST[name])] == []


def test_every_difference_is_listed_with_the_reason_for_what_we_say_and_no_other() -> None:
    differ = {
        (row["genus"], name)
        for name, hazard_class in CLASS_OF_LIST.items()
        for row in rows(name)
        if (row["says"] in LISTED) is not warns(row["genus"], hazard_class)
    }
    told = {(row["genus"], row["list"]): row["reason"] for row in rows("differences")}

    assert differ - told.keys() == set()
    assert told.keys() - differ == set()
    assert all(len(reason) > 30 for reason in told.values())


def test_the_lists_cover_every_kind_of_the_library_and_150_genera_more() -> None:
    covered = {row["genus"] for row in rows("aspca")} & {row["genus"] for row in rows("nyc_health")}
    own = {crop.botanical_name.split()[0] for crop in library().values()}

    assert own - covered == set()
    assert len(covered - own) >= 150
