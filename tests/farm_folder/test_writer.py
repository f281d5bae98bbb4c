"""Writing: a folder stands whole or not at all, and nothing that is no farm folder is touched."""

from pathlib import Path

import pytest

from haulm.farm_folder.faults import FolderNotWritten
from haulm.farm_folder.kinds import number_text
from haulm.farm_folder.reader import read_folder
from haulm.farm_folder.template import site_template, write_template
from haulm.farm_folder.writer import write_folder
from support.farms import farm, site


def test_a_farm_is_written_into_a_folder_that_is_made_for_it(tmp_path: Path) -> None:
    write_folder(farm(), tmp_path / "out" / "farm")

    assert read_folder(tmp_path / "out" / "farm") == farm()
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["farm"]


def test_an_older_farm_folder_is_replaced_and_its_dot_files_stay(tmp_path: Path) -> None:
    folder = tmp_path / "farm"
    write_folder(farm(), folder)
    (folder / ".history").mkdir()
    (folder / ".history" / "1").write_text("kept")

    write_folder(farm(beds=(), batches=()), folder)

    assert sorted(path.name for path in folder.iterdir()) == [".history", "customers.csv", "farm.toml", "varieties.csv"]
    assert (folder / ".history" / "1").read_text() == "kept"
    assert [path.name for path in tmp_path.iterdir()] == ["farm"]


@pytest.mark.parametrize("names", [["notes.txt"], ["farm.toml", "photo.png"], ["varieties.csv"]])
def test_a_folder_that_is_no_farm_folder_is_left_alone(tmp_path: Path, names: list[str]) -> None:
    for name in names:
        (tmp_path / name).write_text("mine")

    with pytest.raises(FolderNotWritten, match="no farm folder"):
        write_folder(farm(), tmp_path)

    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == dict.fromkeys(names, "mine")


def test_a_file_in_the_way_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "farm").write_text("mine")

    with pytest.raises(FolderNotWritten, match="a file of that name"):
        write_folder(farm(), tmp_path / "farm")


def test_a_folder_that_cannot_be_made_is_said_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")

    with pytest.raises(FolderNotWritten, match="Nothing was written to"):
        write_folder(farm(), tmp_path / "file" / "farm")


def test_the_template_imports_as_it_is(tmp_path: Path) -> None:
    write_template(tmp_path / "new")

    assert read_folder(tmp_path / "new").site == site(name="My farm")
    assert len(list((tmp_path / "new").iterdir())) == 20


def test_the_template_replaces_nothing(tmp_path: Path) -> None:
    write_folder(farm(), tmp_path / "farm")

    with pytest.raises(FolderNotWritten, match="not empty"):
        write_template(tmp_path / "farm")


def test_the_template_with_every_line_set_is_a_farm_toml(tmp_path: Path) -> None:
    lines = [line.removeprefix("# ") for line in site_template().splitlines()[3:] if not line.startswith("##")]
    (tmp_path / "farm.toml").write_text("\n".join(lines))

    found = read_folder(tmp_path).site

    assert found.frost is not None
    assert found.temperatures is not None
    assert set(found.seasons) == {"hardy", "half_hardy"}


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1"), (0.1, "0.1"), (-0.0, "0"), (1e16, "10000000000000000"), (1e-7, "0.0000001"), (120.50, "120.5")],
)
def test_a_number_is_written_short_and_without_an_exponent(value: float, text: str) -> None:
    assert number_text(value) == text
