"""The library's own tables: complete, believable, and sourced value by value."""

import csv
import re
from collections import defaultdict

import pytest

from haulm.crop_library.library import library, source_citations
from haulm.crop_library.library_crop import Sourced, library_crops, packaged_text, reference_climates
from haulm.farm.words import Habit, LifeCycle

MIDDLE = re.compile(r"derived: middle of ([\d.]+) \(([^)]+)\) and ([\d.]+) \(([^)]+)\)")
PLAIN = re.compile(r"S\d+[a-z]?(\+S\d+)?|common practice|from memory")
CROPS = packaged_text("crops.csv")
PROVENANCE = packaged_text("provenance.csv")


def rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(packaged_text(name).splitlines()))


def test_there_are_more_than_forty_kinds_and_a_dozen_of_them_are_grasses() -> None:
    assert len(library()) >= 50
    genera = {crop.botanical_name.split()[0] for crop in library().values()}
    assert {"Lagurus", "Briza", "Hordeum", "Panicum", "Setaria", "Bromus", "Pennisetum", "Triticum", "Avena"} <= genera


def test_every_value_has_one_row_of_provenance_and_every_row_of_provenance_one_value() -> None:
    values = {(row["key"], c): v for row in rows("crops.csv") for c, v in row.items() if c != "key" and v}
    provenance = [(row["key"], row["column"], row["value"]) for row in rows("provenance.csv")]
    assert sorted(provenance) == sorted((key, column, value) for (key, column), value in values.items())


def test_every_source_is_an_id_a_plain_word_or_a_middle_that_comes_out() -> None:
    for row in rows("provenance.csv"):
        middle = MIDDLE.fullmatch(row["source"])
        if middle is None:
            assert PLAIN.fullmatch(row["source"]), row
        else:
            assert float(row["value"]) == (float(middle[1]) + float(middle[3])) / 2, row
            assert PLAIN.fullmatch(middle[2]) and PLAIN.fullmatch(middle[4]), row


def test_what_a_source_backs_is_what_provenance_says_it_backs() -> None:
    backs: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    for row in rows("provenance.csv"):
        for source in Sourced(row["source"]).ids:
            backs[source][row["key"]].append(row["column"])
    told = {
        i: "; ".join(f"{key}: {', '.join(columns)}" for key, columns in kinds.items()) for i, kinds in backs.items()
    }
    assert {row["id"]: row["backs"] for row in rows("sources.csv")} == told


def test_notes_name_only_sources_that_are_listed() -> None:
    named = {i for row in rows("provenance.csv") for i in Sourced(row["note"]).ids}
    assert named <= set(source_citations())


def test_a_value_partly_from_memory_is_from_memory() -> None:
    assert Sourced("derived: middle of 8 (from memory) and 12 (S211)").origin == "from memory"
    assert Sourced("derived: middle of 1 (common practice) and 3 (S04)").origin == "common practice"
    assert Sourced("derived: middle of 7 (S02) and 9 (S10)").origin == "S02, S10"


def test_frost_kills_the_tender_before_the_half_hardy_before_the_hardy() -> None:
    levels = {cycle: {crop.kill_c for crop in library().values() if crop.life_cycle is cycle} for cycle in LifeCycle}
    assert min(levels[LifeCycle.TENDER_ANNUAL]) > max(levels[LifeCycle.HALF_HARDY_ANNUAL])
    assert min(levels[LifeCycle.HALF_HARDY_ANNUAL]) > max(levels[LifeCycle.HARDY_ANNUAL])
    assert min(levels[LifeCycle.HARDY_ANNUAL]) > max(levels[LifeCycle.PERENNIAL])


def test_a_kind_that_comes_again_is_cut_for_longer_than_one_cut_once() -> None:
    def weeks(habit: Habit) -> list[float]:
        return [crop.harvest_weeks for crop in library().values() if crop.habit is habit]

    assert min(weeks(Habit.CUT_AND_COME_AGAIN)) > max(weeks(Habit.SINGLE_CUT))


def test_hardy_annual_grasses_flower_twelve_to_thirteen_weeks_from_mid_april() -> None:
    """Common practice for sowings from April to June."""
    for key in ("lagurus", "briza_maxima", "hordeum_jubatum", "bromus_secalinus"):
        assert 12 <= library()[key].weeks_to_flower <= 13


def test_weeks_count_from_the_day_that_suits_the_life_cycle() -> None:
    starts = {LifeCycle.PERENNIAL: "03-01", LifeCycle.BIENNIAL: "07-01"}
    sowings = {"england": "05-01", "ithaca": "05-15"}
    for crop in library().values():
        if crop.life_cycle is not LifeCycle.BULB_TUBER:
            assert crop.weeks_counted_from == starts.get(crop.life_cycle, sowings[crop.stated_in])


def test_what_waits_for_winter_is_stated_where_winters_are_known_to_do() -> None:
    waiting = {crop.key for crop in library().values() if crop.cold is not None}
    by_cycle = {crop.key for crop in library().values() if crop.life_cycle in (LifeCycle.PERENNIAL, LifeCycle.BIENNIAL)}
    assert waiting == by_cycle | {"tulip", "narcissus"}
    assert {library()[key].stated_in for key in waiting} == {"england"}


def test_a_reference_climate_without_a_source_or_twice_is_refused() -> None:
    table = packaged_text("climates.csv")
    england = next(line for line in table.splitlines() if line.startswith("england"))
    with pytest.raises(AssertionError, match="england"):
        reference_climates(f"{table}{england}\n")
    with pytest.raises(AssertionError, match="no source"):
        reference_climates(table.replace("from memory, to about 1 deg C", ""))


@pytest.mark.parametrize(
    ("before", "after", "complaint"),
    [
        ("lagurus,spacing_cm,25,", "lagurus,spacing_cm,26,", "lagurus spacing_cm: '25' but provenance '26'"),
        ("lagurus,spacing_cm,25,S37,\n", "", "lagurus spacing_cm: '25' but provenance ''"),
        ("lagurus,spacing_cm,25,S37", "lagurus,spacing_cm,25,a hunch", "has no source"),
        ("lagurus,spacing_cm,", "lagurus,hold_days,", "stands twice"),
        ("lagurus,spacing_cm,", "lagurus,vigour,", "no column 'vigour'"),
        ("lagurus,spacing_cm,", "lagurust,spacing_cm,", "no kind 'lagurust'"),
    ],
)
def test_provenance_that_does_not_fit_is_refused_by_name(before: str, after: str, complaint: str) -> None:
    assert before in PROVENANCE
    with pytest.raises(AssertionError, match=re.escape(complaint)):
        library_crops(CROPS, PROVENANCE.replace(before, after, 1))


@pytest.mark.parametrize(
    ("column", "before", "after", "complaint"),
    [
        ("role", "texture", "decor", "'decor' is not a valid Role"),
        ("methods", "cover|direct|heated|plugs", "cover|indoors", "'indoors' is not a valid Method"),
        ("germination_pct", "75", "175", "germination_pct: 175 is outside 1 to 100"),
        ("hold_days", "5", "5.5", "hold_days: not a whole number"),
        ("hold_days", "5", "some", "hold_days: 'some' is not a number"),
        ("stems_low", "10", "20", "stems out of order"),
        ("weeks_counted_from", "05-01", "1 May", "not MM-DD"),
        ("dries", "yes", "no", "dry_days stands exactly where the kind dries"),
        ("food_use", "no", "never", "neither yes nor no"),
    ],
)
def test_a_value_no_crop_can_have_is_refused_by_name(column: str, before: str, after: str, complaint: str) -> None:
    header = CROPS.splitlines()[0].split(",")
    lagurus = dict(zip(header, next(csv.reader(CROPS.splitlines()[1:])), strict=True))
    assert lagurus[column] == before
    row = ",".join({**lagurus, column: after}.values())
    provenance = PROVENANCE.replace(f"lagurus,{column},{before}", f"lagurus,{column},{after}", 1)
    only_lagurus = "".join(line for line in provenance.splitlines(True) if line.startswith(("key", "lagurus,")))
    with pytest.raises(AssertionError, match=re.escape(complaint)):
        library_crops(f"{','.join(header)}\n{row}\n", only_lagurus)
