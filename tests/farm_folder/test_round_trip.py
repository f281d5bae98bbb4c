"""Canonical folders come back byte for byte; any other folder settles at its first export."""

from pathlib import Path

import pytest
from hypothesis import given, settings

from haulm.farm.checks import farm_faults
from haulm.farm.snapshot import Farm
from haulm.farm_folder.columns import FILES
from haulm.farm_folder.reader import read_folder, read_texts
from haulm.farm_folder.writer import folder_texts
from support import scale
from support.farm_strategies import farms
from support.farms import farm, grower_folder
from support.project_tree import ROOT

FEW = settings(max_examples=scale.count(usual=20, large=2000))

CANONICAL = sorted(path.parent for path in (ROOT / "fixtures").glob("*/farm.toml"))


@FEW
@given(farms())
def test_a_farm_comes_back_from_its_folder_as_it_was(drawn: Farm) -> None:
    assert read_texts(folder_texts(drawn)) == drawn


@FEW
@given(farms())
def test_a_farm_that_the_folder_takes_has_no_faults(drawn: Farm) -> None:
    assert farm_faults(drawn) == ()


@FEW
@given(farms())
def test_an_exported_folder_is_exported_the_same_again(drawn: Farm) -> None:
    first = folder_texts(drawn)

    assert folder_texts(read_texts(first)) == first


@pytest.mark.parametrize("folder", CANONICAL, ids=lambda path: path.name)
def test_every_fixture_is_canonical(folder: Path) -> None:
    stored = {path.name: path.read_bytes() for path in folder.iterdir() if not path.name.startswith(".")}

    assert folder_texts(read_folder(folder)) == stored


@pytest.mark.parametrize("folder", CANONICAL, ids=lambda path: path.name)
def test_a_fixture_with_bom_semicolons_and_crlf_is_the_same_farm(folder: Path) -> None:
    typed = {}
    for path in folder.iterdir():
        text = path.read_text(encoding="utf-8").replace("\n", "\r\n")
        is_plain = path.suffix == ".csv" and '"' not in text and ";" not in text
        typed[path.name] = b"\xef\xbb\xbf" + (text.replace(",", ";") if is_plain else text).encode()

    assert read_texts(typed) == read_folder(folder)


def test_there_are_fixtures() -> None:
    assert len(CANONICAL) >= 3


def test_a_folder_typed_by_hand_settles_at_its_first_export() -> None:
    typed = grower_folder(
        site='name="Hand typed"\nlatitude=52\nformat=1\ncut_days=["mon","thu"]\n[prices]\ntax_percent=0',
        varieties="""
            hold_days ;name ; key ; lengths
            05        ;Bunny tail ; lagurus ; 30:0,50|40:0,5
            """,
        beds="""
            key,name,width_cm,walk
            north,"North, upper",120.00,

            south,South,75.50,2
            """,
    )
    first = folder_texts(read_texts(typed))

    assert first["farm.toml"] == b'format = 1\nname = "Hand typed"\nlatitude = 52\n'
    assert first["beds.csv"] == (
        b'key,name,metres,width_cm,trays,kind,walk\nnorth,"North, upper",,,,,\nsouth,South,,75.5,,,2\n'
    )
    assert b"lagurus,Bunny tail,,,,,,,,,,,,,,,,,5,,,,30:0.5|40:0.5,,,,,,\n" in first["varieties.csv"]
    assert folder_texts(read_texts(first)) == first


def test_a_collection_without_rows_has_no_file() -> None:
    written = folder_texts(farm(beds=()))

    assert "beds.csv" not in written
    assert list(written)[:2] == ["farm.toml", "varieties.csv"]


def test_every_file_has_the_fields_of_its_noun_as_columns() -> None:
    for spec in FILES:
        assert set(spec.header) == set(spec.noun.__dataclass_fields__), spec.name
