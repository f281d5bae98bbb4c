"""One spoilt cell of the demo farm's folder, any cell: the folder is refused by file, or only that row is another."""

import csv
import io
import itertools
from collections.abc import Mapping

import pytest

from haulm.farm.cross_checks import COLLECTIONS
from haulm.farm.snapshot import Farm
from haulm.farm_folder.columns import FILE_BY_NAME
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.reader import read_texts
from support import scale
from support.corruption import Spoilt, cell_spans, spoilt_cells
from support.project_tree import ROOT

DEMO = {path.name: path.read_bytes() for path in sorted((ROOT / "fixtures" / "demo").iterdir())}
TEMPERATURES = "temperatures.csv"
STRETCH_DAYS = 16
MANY_CELLS, SOME = 300, 17


BESIDE = DEMO if scale.is_large() else DEMO | {TEMPERATURES: b"".join(DEMO[TEMPERATURES].splitlines(True)[:17])}
"""What stands beside a spoilt cell: no other file is checked against temperatures, and most of reading is theirs."""


@pytest.fixture(scope="module")
def farm() -> Farm:
    """The demo farm as it is."""
    return read_texts(DEMO)


@pytest.fixture(scope="module")
def beside() -> Farm:
    """The farm of the files that stand beside a spoilt cell."""
    return read_texts(BESIDE)


def accepted(spoilt: Spoilt, files: Mapping[str, bytes], sound: Farm) -> bool:
    """Whether the folder is read all the same; what is wrong with the way it is read or refused fails."""
    found = read_or_refused({**files, spoilt.file: spoilt.content}, spoilt)
    if isinstance(found, FolderRefused):
        assert {fault.place for fault in found.faults} <= files.keys(), spoilt
        assert found.sentence.startswith(found.faults[0].place), spoilt
        return False
    only = FILE_BY_NAME[spoilt.file].collection if spoilt.file in FILE_BY_NAME else "site"
    for name in COLLECTIONS.keys() - {only}:
        assert getattr(found, name) == getattr(sound, name), spoilt
    if only != "site":
        pairs = zip(getattr(found, only), getattr(sound, only), strict=True)
        assert sum(one != other for one, other in pairs) <= 1, spoilt
    return True


def read_or_refused(files: Mapping[str, bytes], spoilt: Spoilt) -> Farm | FolderRefused:
    """The farm, or the refusal; anything else fails with the name of the cell."""
    try:
        return read_texts(files)
    except FolderRefused as refusal:
        return refusal
    except Exception as error:
        raise AssertionError(f"{spoilt}: {error!r}") from error


@pytest.mark.parametrize("name", DEMO)
def test_every_cell_of_a_file_is_found_as_the_reader_of_csv_finds_it(name: str) -> None:
    spans = cell_spans(name, DEMO[name])

    if name == "farm.toml":
        assert b"Wimberbeek Flower Field" in [DEMO[name][start:end] for start, end in spans]
    else:
        text = DEMO[name].decode()
        cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
        shown = ["".join(next(csv.reader([DEMO[name][start:end].decode()]))) for start, end in spans]
        assert shown == cells


@pytest.mark.parametrize("name", [name for name in DEMO if name != TEMPERATURES])
def test_any_one_spoilt_cell_is_refused_or_changes_one_row(name: str, beside: Farm) -> None:
    """Each cell of a short file, and in the long run of any; in the usual one some of every column of a long file."""
    is_long = len(cell_spans(name, DEMO[name])) > MANY_CELLS
    every = scale.count(usual=SOME, large=1) if is_long else 1
    outcomes = [accepted(spoilt, BESIDE, beside) for spoilt in spoilt_cells(name, DEMO[name], every=every)]

    assert outcomes.count(False) > len(outcomes) // 4


def test_a_spoilt_temperature_is_refused_or_changes_one_day(farm: Farm) -> None:
    """In the whole file: each cell in the long run, some in the usual one."""
    spoilt = spoilt_cells(TEMPERATURES, DEMO[TEMPERATURES], every=scale.count(usual=997, large=1))
    outcomes = [accepted(one, DEMO, farm) for one in spoilt]

    assert outcomes.count(False) > len(outcomes) // 2


def test_any_one_spoilt_temperature_of_a_stretch_is_refused_or_changes_one_day(farm: Farm) -> None:
    """In stretches by themselves: checks of temperatures look at neighbours, never further.

    Every day of the file in the long run, every twelfth stretch in the usual one.
    """
    header, *days = DEMO[TEMPERATURES].splitlines(keepends=True)
    starts = range(0, len(days), STRETCH_DAYS * scale.count(usual=12, large=1))
    tried = 0
    for first in starts:
        stretch = header + b"".join(days[first : first + STRETCH_DAYS])
        files = {"farm.toml": DEMO["farm.toml"], TEMPERATURES: stretch}
        alone = Farm(farm.site, temperatures=farm.temperatures[first : first + STRETCH_DAYS])
        own_header = 0 if first == 0 else 3
        spoils = itertools.islice(spoilt_cells(TEMPERATURES, stretch, turn=first), own_header, None)
        tried += len([accepted(spoilt, files, alone) for spoilt in spoils])

    assert tried == 3 * (sum(len(days[first : first + STRETCH_DAYS]) for first in starts) + 1)
