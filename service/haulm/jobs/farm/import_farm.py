"""Import and export of the farm folder: all or nothing, and the same bytes back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from haulm.crop_library.library import crop_for
from haulm.farm.checks import farm_warnings
from haulm.farm.edits import COLLECTIONS
from haulm.farm.snapshot import Farm
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.reader import read_folder
from haulm.farm_folder.writer import write_folder
from haulm.jobs.desk.sound_rows import food_faults
from haulm.jobs.farm.doubtful_records import future_records
from haulm.jobs.farm.food_marks import void_marks_known, without_void_marks
from haulm.jobs.farm.likely_years import year_faults
from haulm.jobs.farm.plants_asked import plants_asked
from haulm.jobs.quotes.keep_prices import farm_with_kept_prices
from haulm.planning.cold import cold_warnings
from haulm.store.store import Store

EXPORTED = "farm-exported"
"""The job under which an export notes the version that it wrote."""


@dataclass(frozen=True, slots=True)
class Imported:
    """What was imported: rows by collection, and what is accepted but will disappoint."""

    name: str
    version: int
    rows: dict[str, int]
    warnings: tuple[str, ...]


def import_farm(
    store: Store,
    folder: Path,
    *,
    replace: bool,
    actor: str,
    now: datetime,
    today: Callable[[], date] | None = None,
) -> Imported:
    """Read a folder whole, then write it in one transaction.

    A void food mark that the farm's own copy still has is taken back, and said. Records of days after today are said as
    well, where the day is given: a folder may have been written on a computer whose date is another.

    Raises:
        FolderRefused: anything in it is not accepted; nothing is written.
        FarmNotEmpty: there is a farm already and nobody said to replace it.
    """
    farm, taken_back = void_marks_known(store, read_folder(folder))
    faults = (
        *food_faults("varieties.csv", farm.varieties, first_row=2),
        *year_faults(farm, None if today is None else today()),
    )
    if faults:
        raise FolderRefused(faults=faults)
    with store.unit_of_work(actor=actor, now=now) as work:
        before = work.farm if replace and not store.is_empty() else None
        farm = farm_with_kept_prices(farm, before, today=now.date())
        work.replace_farm(farm, over_existing=replace)
        version = work.save()
    rows = {name: len(getattr(farm, name)) for name in COLLECTIONS.values()}
    future = () if today is None else future_records(farm.records, today())
    return Imported(
        farm.site.name,
        version,
        rows,
        (*taken_back, *future, *warnings_of(farm, now.date() if today is None else today())),
    )


def warnings_of(farm: Farm, today: date) -> Iterator[str]:
    """What is accepted of a farm but will disappoint, in sentences."""
    holds = {variety.key: crop_for(variety).hold_days for variety in farm.varieties}
    yield from farm_warnings(farm, holds.__getitem__)
    yield from plants_asked(farm.varieties)
    yield from cold_warnings(farm, today)


def export_farm(store: Store, folder: Path, *, now: datetime | None = None) -> Farm:
    """Write the farm as a canonical folder; a kind that the register bars from food is not marked as food in it.

    Where a moment is given, the version is noted: what is changed by hand from then on, the folder does not know.

    Raises:
        FarmEmpty: there is no farm yet.
        FolderNotWritten: the folder holds something else, or cannot be written.
    """
    farm = without_void_marks(store.farm())
    write_folder(farm, folder)
    if now is not None:
        store.outbox.note_done(EXPORTED, str(farm.version), now)
    return farm
