"""Farm folders through the program: the same bytes back, all or nothing, and never over a farm by mistake."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from support.farms import MINIMAL_SITE, grower_folder
from support.project_tree import ROOT
from support.service_program import Program, ProgramHere

FOLDERS = sorted(path.parent for path in (ROOT / "fixtures").glob("*/farm.toml"))
AS_A_SPREADSHEET_SAVES_IT = {
    "farm.toml": "\ufefflatitude = 52\r\nname = 'Test farm'\r\ncurrency = 'EUR'\r\nformat = 1\r\n",
    "varieties.csv": "\ufeffname;key;spacing_cm\r\nBunny tail;lagurus;12,50\r\n;;\r\n'Blue' \"star\";star;\r\n",
    "beds.csv": "kind,name,key\r\noutdoor, North ,north\r\n",
    "known_stems.csv": "stems,ready_date,product,key\n007,2027-06-01,lagurus,k1\n",
    "customers.csv": "key,notice_days,name,kind\nanna,,Anna,florist\n",
    "standing_orders.csv": "customer,key,last_week,first_week,weekday,every\nanna,weekly,2027-W30,2027-W20,thu,1\n",
    "standing_lines.csv": "order;key;stems;product;minimum\nweekly;w1;20;lagurus;0\n",
}


def written(folder: Path, files: dict[str, bytes]) -> Path:
    """Files in a new folder."""
    folder.mkdir()
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return folder


def contents(folder: Path) -> dict[str, bytes]:
    """The files in a folder."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def farm_at(folder: Path, name: str = "Test farm", *, stems: int = 5) -> Path:
    """A small farm folder under a name."""
    files = grower_folder(
        MINIMAL_SITE.replace("Test farm", name),
        varieties="key,name\nlagurus,Bunny tail",
        known_stems=f"key,product,ready_date,stems\nk1,lagurus,2027-06-01,{stems}",
    )
    return written(folder, files)


def test_the_fixtures_are_here() -> None:
    assert [folder.name for folder in FOLDERS] == ["demo", "empty-farm", "southern-field", "two-florists"]


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_canonical_folder_comes_back_byte_for_byte(here: ProgramHere, folder: Path) -> None:
    here.done("import", folder)
    here.done("export", here.folder / "out")

    assert contents(here.folder / "out") == contents(folder)


def test_of_any_other_folder_the_second_export_equals_the_first(here: ProgramHere) -> None:
    given = written(here.folder / "in", {name: text.encode() for name, text in AS_A_SPREADSHEET_SAVES_IT.items()})
    here.done("import", given)
    here.done("export", here.folder / "first")
    here.done("import", here.folder / "first", "--replace")
    here.done("export", here.folder / "second")

    first = contents(here.folder / "first")
    assert first == contents(here.folder / "second")
    assert first.keys() == AS_A_SPREADSHEET_SAVES_IT.keys()
    assert b'star,"\'Blue\' ""star""",' in first["varieties.csv"]
    assert b",12.5," in first["varieties.csv"]


def test_an_export_takes_the_place_of_an_earlier_one(here: ProgramHere) -> None:
    here.hold(farm_at(here.folder / "in", stems=5))
    here.done("export", here.folder / "out")
    here.done("import", farm_at(here.folder / "next", stems=6), "--replace")
    here.done("export", here.folder / "out")

    assert b"k1,lagurus,2027-06-01,6," in contents(here.folder / "out")["known_stems.csv"]


def test_an_import_into_a_farm_adds_and_changes_and_takes_nothing_away(here: ProgramHere) -> None:
    here.hold(farm_at(here.folder / "old", "Old farm"))
    more = grower_folder(MINIMAL_SITE.replace("Test farm", "New farm"), varieties="key,name\nammi,Bishop's flower")
    said = here.done("import", written(here.folder / "new", more))

    assert said.out == "New farm: added 1 variety; the farm's settings changed.\n"
    with here.store() as store:
        assert [row.key for row in store.farm().varieties] == ["lagurus", "ammi"]
        assert [row.key for row in store.farm().known_stems] == ["k1"]


def test_what_was_changed_here_and_there_stops_the_import_until_somebody_says_who_wins(here: ProgramHere) -> None:
    here.hold(farm_at(here.folder / "old"))
    here.done("import", farm_at(here.folder / "six", stems=6))
    with here.store() as store, store.unit_of_work(actor="owner", now=datetime.now(UTC)) as work:
        work.put(replace(work.farm.known_stems[0], stems=9))
        work.save()
    folder = farm_at(here.folder / "seven", stems=7)

    said = here.refusal("import", folder)
    assert "Counted stems of Bunny tail" in said and "--folder-wins" in said
    assert "the farm's stays: Counted stems of Bunny tail." in here.done("import", folder, "--farm-wins").out
    assert "changed 1 row of known stems" in here.done("import", folder, "--folder-wins").out
    assert "Old news" in here.done("import", farm_at(here.folder / "again", stems=6)).out


def test_a_replacement_names_what_would_go_and_takes_it_out_only_by_a_word_more(here: ProgramHere) -> None:
    here.hold(farm_at(here.folder / "old"))
    bare = written(here.folder / "bare", grower_folder(MINIMAL_SITE))
    said = here.refusal("import", bare, "--replace")

    assert "Kind Bunny tail; Counted stems of Bunny tail" in said and "--discard" in said
    with here.store() as store:
        assert len(store.farm().varieties) == 1
    done = here.done("import", bare, "--replace", "--discard").out
    assert "Taken out: Kind Bunny tail." in done and "A backup is in " in done
    with here.store() as store:
        assert store.farm().varieties == ()
    (kept,) = (here.folder / "backups").iterdir()
    here.done("restore", kept)
    with here.store() as store:
        assert len(store.farm().varieties) == 1


def test_an_import_that_replaces_keeps_the_journal(here: ProgramHere) -> None:
    here.done("import", farm_at(here.folder / "old", "Old farm"))
    said = here.done("import", farm_at(here.folder / "new", "New farm"), "--replace")

    assert said.out.splitlines()[-1] == "New farm: imported 1 varieties, 1 known stems."
    with here.store() as store:
        assert store.farm().site.name == "New farm"
        assert [(entry.kind, entry.actor) for entry in store.entries()] == [("farm-imported", "program")] * 2


def test_every_fault_has_a_line_of_its_own_and_nothing_is_written(here: ProgramHere) -> None:
    broken = grower_folder(
        varieties="key,name,role\nlagurus,Bunny tail,leaf\nlagurus,Again,",
        beds="key,name,metres\nnorth,,long",
        known_stems="key,product,ready_date,stems\nk1,tulip,2027-13-01,5",
    )
    broken["notes.csv"] = b"key\n"
    said = here.run("import", written(here.folder / "in", broken))

    assert (said.exit_code, said.out) == (1, "")
    *faults, last = said.err.splitlines()
    places = [fault.partition(": found ")[0] for fault in faults]
    assert places == [
        "notes.csv",
        "varieties.csv row 2, role",
        "beds.csv row 2, name",
        "beds.csv row 2, metres",
        "known_stems.csv row 2, ready_date",
    ]
    assert all("; accepted is " in fault and fault.endswith(".") for fault in faults)
    assert last == "Nothing was written."
    with here.store() as store:
        assert store.is_empty()


def test_a_refused_replacement_leaves_the_old_farm(here: ProgramHere) -> None:
    here.hold(farm_at(here.folder / "old", "Old farm"))
    said = here.run("import", farm_at(here.folder / "new", "New farm", stems=-1), "--replace")

    assert said.exit_code == 1
    assert said.err.startswith("known_stems.csv row 2, stems: found -1")
    with here.store() as store:
        assert (store.farm().site.name, len(store.entries())) == ("Old farm", 1)


def test_what_will_disappoint_is_a_note_and_stops_nothing(here: ProgramHere) -> None:
    files = grower_folder(
        MINIMAL_SITE + 'cut_days = ["mon"]\n',
        varieties="key,name,hold_days\nlagurus,Bunny tail,2",
        customers="key,name\nanna,Anna",
        standing_orders="key,customer,weekday,first_week,last_week\nweekly,anna,fri,2027-W20,2027-W30",
        standing_lines="key,order,stems,product\nw1,weekly,20,lagurus",
    )
    said = here.done("import", written(here.folder / "in", files))

    assert said.err.startswith("Note: Line w1 is due on a fri")


def test_the_template_imports_as_it_is(program: Program) -> None:
    said = program.done("template", "my-farm")
    program.done("import", "my-farm")

    assert "haulm-service import my-farm" in said.out
    with program.store() as store:
        assert store.farm().site.name == "My farm"


@pytest.mark.parametrize("command", ["template", "export"])
def test_a_folder_of_something_else_is_not_written_over(here: ProgramHere, command: str) -> None:
    here.hold(farm_at(here.folder / "in"))
    mine = written(here.folder / "mine", {"letter.txt": b"Dear Anna"})
    said = here.refusal(command, mine)

    assert "it is not empty" in said
    assert contents(mine) == {"letter.txt": b"Dear Anna"}
