"""The register's own tables, read once and checked: a fault in them is a programmer's mistake."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import NamedTuple

from haulm.farm.hazards import Hazard, Severity
from haulm.farm.words import HazardClass, PlantPart

NO_HAZARD = "none"
FROM_MEMORY = "from_memory"
REGISTER_COLUMNS = ("genus", "species", "class", "severity", "part", "edible", "note", "sources")
NAME_COLUMNS = ("name", "genus", "species")
SOURCE_COLUMNS = ("id", "citation")


class Plant(NamedTuple):
    """What is meant by a name: a genus, and of it the species named; none named means any of them."""

    genus: str
    species: frozenset[str] = frozenset()


class Register(NamedTuple):
    """The three tables.

    Attributes:
        hazards: by genus; empty for one that was looked up and does no harm that is known.
        edible: genera whose flowers are commonly eaten, and of each the species; none named means all of them.
        epithets: the species that are told apart, by genus.
        names: the plants that a common name or an old botanical one may mean, as the table has it.
        sources: citations by id.
    """

    hazards: Mapping[str, tuple[Hazard, ...]]
    edible: Mapping[str, frozenset[str]]
    epithets: Mapping[str, frozenset[str]]
    names: Mapping[str, tuple[Plant, ...]]
    sources: Mapping[str, str]


@cache
def register() -> Register:
    """The register as the package has it, read once; read-only.

    Raises:
        AssertionError: the tables contradict themselves.
    """
    return read_register(packaged_text("register.csv"), packaged_text("names.csv"), packaged_text("sources.csv"))


def packaged_text(name: str) -> str:
    """The text of one of the register's own tables."""
    return (resources.files("haulm.hazard_register") / name).read_text(encoding="utf-8")


def read_register(register_text: str, names_text: str, sources_text: str) -> Register:
    """The register of three tables.

    Raises:
        AssertionError: a column, a word, a source or a genus of one table is not what another says.
    """
    rows = _rows(register_text, REGISTER_COLUMNS)
    named = _rows(names_text, NAME_COLUMNS)
    hazards: dict[str, list[Hazard]] = {row["genus"]: [] for row in rows}
    edible: dict[str, frozenset[str]] = {}
    for row in rows:
        assert row["edible"] in ("", "yes"), f"register: {row['genus']}, edible '{row['edible']}'"
        assert row["genus"].istitle() and row["genus"].isalpha(), f"register: '{row['genus']}' is no genus"
        if row["edible"]:
            edible[row["genus"]] = edible.get(row["genus"], frozenset()) | frozenset(_parts(row["species"]))
        if row["class"] == NO_HAZARD:
            assert row["severity"] == "0", f"register: {row['genus']} does no harm of severity {row['severity']}"
        else:
            hazards[row["genus"]].append(_hazard(row))
    found = Register(
        MappingProxyType({genus: tuple(items) for genus, items in hazards.items()}),
        MappingProxyType(edible),
        MappingProxyType(_epithets([*rows, *named])),
        MappingProxyType(_names(named)),
        MappingProxyType({row["id"]: row["citation"] for row in _rows(sources_text, SOURCE_COLUMNS)}),
    )
    _check(found)
    return found


def _rows(text: str, columns: tuple[str, ...]) -> list[dict[str, str]]:
    found = list(csv.DictReader(text.splitlines()))
    for row in found:
        assert tuple(row) == columns and None not in row.values(), f"a row of {tuple(row)}: {row}"
    return found


def _parts(text: str) -> tuple[str, ...]:
    return tuple(filter(None, (part.strip() for part in text.split("|"))))


def _hazard(row: Mapping[str, str]) -> Hazard:
    return Hazard(
        genus=row["genus"],
        species=_parts(row["species"]),
        hazard_class=HazardClass(row["class"]),
        severity=Severity(int(row["severity"])),
        parts=tuple(PlantPart(part) for part in _parts(row["part"])),
        note=row["note"],
        sources=_parts(row["sources"]),
    )


def _epithets(rows: Iterable[Mapping[str, str]]) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        found[row["genus"]].update(_parts(row["species"]))
    return {genus: frozenset(species) for genus, species in found.items()}


def _names(rows: Iterable[Mapping[str, str]]) -> dict[str, tuple[Plant, ...]]:
    found: dict[str, list[Plant]] = defaultdict(list)
    for row in rows:
        assert row["name"].strip(), f"names: {row['genus']} has an empty name"
        found[row["name"]].append(Plant(row["genus"], frozenset(_parts(row["species"]))))
    return {name: tuple(dict.fromkeys(plants)) for name, plants in found.items()}


def _check(found: Register) -> None:
    strangers = {plant.genus for plants in found.names.values() for plant in plants} - found.hazards.keys()
    assert not strangers, f"names: of genera that the register has not: {sorted(strangers)}"
    cited = {source for items in found.hazards.values() for hazard in items for source in hazard.sources}
    unknown = cited - found.sources.keys() - {FROM_MEMORY}
    assert not unknown, f"register: sources that are not listed: {sorted(unknown)}"
    bare = {hazard.genus for items in found.hazards.values() for hazard in items if not hazard.sources}
    assert not bare, f"register: without a source: {sorted(bare)}"
