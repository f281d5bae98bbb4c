"""A folder with one spoilt cell ends in an import or in a refusal that leaves the old farm, never in half of either."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.reader import read_folder
from haulm.jobs.farm.import_farm import import_farm
from support import scale
from support.corruption import Spoilt, cell_spans, spoilt_cells
from support.project_tree import ROOT
from support.service_program import Program, ProgramHere, Said

DEMO = {path.name: path.read_bytes() for path in sorted((ROOT / "fixtures" / "demo").iterdir())}
OLD_FARM = ROOT / "fixtures" / "two-florists"
OLD_NAME = read_folder(OLD_FARM).site.name


def some_spoilt(*, of_each_file: int) -> list[Spoilt]:
    """Spoilt cells of every file of the demo farm, evenly through it."""
    found = []
    for turn, (name, content) in enumerate(DEMO.items()):
        every = max(1, len(cell_spans(name, content)) // of_each_file)
        found += list(spoilt_cells(name, content, every=every, turn=turn))[:of_each_file]
    return found


def spoilt_folder(folder: Path, spoilt: Spoilt) -> Path:
    """The demo farm's folder with the spoilt file in it."""
    shutil.copytree(ROOT / "fixtures" / "demo", folder)
    (folder / spoilt.file).write_bytes(spoilt.content)
    return folder


def test_the_store_keeps_the_old_farm_where_the_new_one_is_refused(program: Program) -> None:
    program.hold(OLD_FARM)
    refused = 0
    with program.store() as store:
        for place, spoilt in enumerate(some_spoilt(of_each_file=3)):
            old, entries = store.farm(), store.entries()
            folder = spoilt_folder(program.folder / str(place), spoilt)
            try:
                import_farm(store, folder, replace=True, actor="test", now=datetime.now(UTC))
            except FolderRefused:
                refused += 1
                assert (store.farm(), store.entries()) == (old, entries), spoilt
            else:
                assert (store.version(), len(store.entries())) == (old.version + 1, len(entries) + 1), spoilt

    assert refused > 20


@pytest.fixture(scope="module")
def held(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database file that holds the old farm."""
    program = Program(tmp_path_factory.mktemp("held"))
    program.hold(OLD_FARM)
    return program.folder / "farm.db"


def test_spoilt_folders_through_the_program(held: Path, tmp_path: Path) -> None:
    def imported(place: int, spoilt: Spoilt) -> tuple[Spoilt, Said, str]:
        folder = tmp_path / str(place)
        folder.mkdir()
        shutil.copy(held, folder / "farm.db")
        program = ProgramHere(folder)
        said = program.run("import", spoilt_folder(folder / "in", spoilt), "--replace", "--discard")
        with program.store() as store:
            return spoilt, said, store.farm().site.name

    spoilt = [one for place, one in enumerate(some_spoilt(of_each_file=scale.count(usual=2, large=4))) if place % 5]
    outcomes = [imported(place, one) for place, one in enumerate(spoilt)]

    assert len(outcomes) >= scale.count(usual=20, large=50)
    for one, said, name in outcomes:
        if said.exit_code == 0:
            assert name != OLD_NAME, one
        else:
            assert (said.exit_code, name) == (1, OLD_NAME), one
            assert said.err.endswith("Nothing was written.\n"), one
            assert said.err.startswith(tuple(DEMO)), one
    assert len(outcomes) // 3 < sum(said.exit_code for _, said, _ in outcomes) < len(outcomes)
