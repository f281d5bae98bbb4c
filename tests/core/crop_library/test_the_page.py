"""The page about the crop library says what the tables and the defaults say."""

import csv

from haulm.crop_library.defaults import BY_HABIT, BY_LIFE_CYCLE, FOR_EVERY_KIND
from haulm.crop_library.library import library
from haulm.crop_library.library_crop import MEASURED, WHOLE, Sourced, packaged_text
from support.project_tree import ROOT

PAGE = (ROOT / "docs" / "reference" / "crop-library.md").read_text(encoding="utf-8")


def table_row(first: str) -> list[str]:
    found = [line for line in PAGE.splitlines() if line.startswith(f"| {first} |")]
    assert len(found) == 1, first
    return [cell.strip() for cell in found[0].strip("|").split("|")][1:]


def counts(columns: set[str] | None) -> list[str]:
    provenance = list(csv.DictReader(packaged_text("provenance.csv").splitlines()))
    origins = [Sourced(row["source"]).origin for row in provenance if columns is None or row["column"] in columns]
    memory, practice = origins.count("from memory"), origins.count("common practice")
    return [f"{number:,}" for number in (len(origins), memory, practice, len(origins) - memory - practice)]


def test_the_page_counts_the_values_from_memory_from_practice_and_from_sources() -> None:
    assert table_row("all values") == counts(None)
    assert table_row("figures alone") == counts({*WHOLE, *MEASURED})


def test_the_page_says_how_many_kinds_there_are_and_names_each() -> None:
    assert f"{len(library())} kinds" in PAGE
    assert [key for key in library() if f"`{key}`" not in PAGE] == []


def test_the_page_tells_the_defaults_by_life_cycle_and_by_habit() -> None:
    for cycle in BY_LIFE_CYCLE["kill_c"]:
        columns = ("kill_c", "soft_c", "hardened_c", "base_c", "harden_days")
        assert table_row(f"`{cycle}`") == [f"{BY_LIFE_CYCLE[column][cycle]:g}" for column in columns]
    for habit in BY_HABIT["stand_days"]:
        columns = ("stand_days", "harvest_weeks", "stems_per_plant")
        assert table_row(f"`{habit}`") == [f"{BY_HABIT[column][habit]:g}" for column in columns]


def test_the_page_tells_the_defaults_for_every_kind() -> None:
    for field, default in FOR_EVERY_KIND.items():
        value = {None: "keeps", False: "no"}.get(default.value, default.value)  # type: ignore[call-overload]
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        assert table_row(f"`{field}`") == [shown, default.origin]
