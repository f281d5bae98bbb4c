"""Bring a folder into a farm that has data: it adds and changes by key, and takes nothing away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

from haulm.errors import HaulmError
from haulm.farm.checks import faults_with
from haulm.farm.edits import COLLECTIONS as NAMES
from haulm.farm.edits import Row, with_rows
from haulm.farm.records import Record
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.reader import Folder, read_beside
from haulm.farm_folder.site_file import site_beside
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import PROMISED, keep_floors
from haulm.jobs.desk.sound_rows import food_faults
from haulm.jobs.farm.doubtful_records import future_records
from haulm.jobs.farm.food_marks import void_marks_known
from haulm.jobs.farm.import_farm import EXPORTED, warnings_of
from haulm.jobs.farm.likely_years import year_faults
from haulm.jobs.farm.merge_folder import Merged, merged
from haulm.jobs.farm.post_cuts import cut_before, post_cut
from haulm.jobs.farm.row_words import Names, row_in_words
from haulm.jobs.promises.judge_together import judge_together, refused
from haulm.jobs.quotes.keep_prices import farm_with_kept_prices
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused
from haulm.language.words import _
from haulm.store.history import SITE, History
from haulm.store.rows import COLLECTIONS, site_to_json
from haulm.store.unit_of_work import UnitOfWork

BROUGHT = "folder-brought-in"


class Wins(StrEnum):
    """Who is right where a row was changed by hand and in the folder."""

    FOLDER = "folder"
    FARM = "farm"


class FolderConflicts(HaulmError):
    """Rows were changed by hand since the folder was written, and the folder says something new of them."""

    code = "folder-conflicts"

    def __init__(self, *, rows: tuple[str, ...]) -> None:
        listed = "; ".join(rows)
        super().__init__(
            _(
                "Changed on the farm and in the folder: {listed}. Nothing was written. Say --folder-wins "
                "or --farm-wins."
            ).format(listed=listed),
            rows=list(rows),
        )


class FolderNotPromised(HaulmError):
    """What a folder asks cannot be promised beside what is promised already."""

    code = "folder-not-promised"

    def __init__(self, *, orders: tuple[str, ...]) -> None:
        super().__init__(_("Nothing was written: {orders}").format(orders=" ".join(orders)), orders=list(orders))


@dataclass(frozen=True, slots=True)
class Brought:
    """What came of a folder.

    Attributes:
        name: the farm's.
        version: the farm's version; as before where nothing was new.
        added, changed: how many rows, by collection.
        is_site_changed: whether the farm's settings were.
        old, stays, farm_won: rows of which the farm's say stands, in words, by why.
        warnings: what is accepted but will disappoint.
    """

    name: str
    version: int
    added: dict[str, int]
    changed: dict[str, int]
    is_site_changed: bool
    old: tuple[str, ...]
    stays: tuple[str, ...]
    farm_won: tuple[str, ...]
    warnings: tuple[str, ...] = ()


def bring_in_folder(desk: Desk, folder: Path, *, actor: str, wins: Wins | None = None) -> Brought:
    """Read a folder whole and bring in what is new, in one transaction; books, lists, quotes and the journal stay.

    Raises:
        FolderRefused: anything in it is not accepted, or does not fit the farm.
        FolderConflicts: a row was changed here and there, and nobody said who wins.
        FolderNotPromised: new demand cannot be promised beside what is.
    """
    read = read_beside(folder, desk.store.farm())
    farm, told = void_marks_known(desk.store, read.farm)
    read = replace(read, farm=farm)
    faults = (*food_faults("varieties.csv", farm.varieties, first_row=2), *year_faults(farm, desk.today()))
    if faults:
        raise FolderRefused(faults=faults)
    desk.plan()
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        found = _brought(desk, work, read, wins)
    future = future_records(farm.records, desk.today())
    return replace(found, warnings=(*told, *future, *warnings_of(desk.store.farm(), desk.today())))


def _brought(desk: Desk, work: UnitOfWork, read: Folder, wins: Wins | None) -> Brought:
    before = work.farm
    history = History(work.entries())
    names = Names(before, history.gone)
    found = merged(before, read, history, exported_version(desk))
    site = site_beside(before.site, read.document)
    if found.conflicts and wins is None:
        raise FolderConflicts(rows=tuple(_told(names, found.conflicts)))
    if wins is Wins.FOLDER:
        _settled_for_the_folder(before, found)
    is_site_changed = site != before.site and not _said_before(history, site)
    changed = _changed_farm(before, found, site if is_site_changed else before.site, desk)
    judged = promised_together(desk, before, changed, Names(changed, history.gone))
    version = work.farm.version
    if changed != before:
        _write(desk, work, changed, judged)
        version = work.save()
    return Brought(
        changed.site.name,
        version,
        _counted(found.added),
        _counted(found.changed),
        is_site_changed,
        tuple(_told(names, found.old)),
        tuple(_told(names, found.stays)),
        tuple(_told(names, found.conflicts)) if wins is Wins.FARM else (),
    )


def exported_version(desk: Desk) -> int:
    """The version of the farm that was exported last; 0 where none was."""
    found = desk.store.outbox.last_done(EXPORTED)
    return 0 if found is None else int(found[0])


def _settled_for_the_folder(farm: Farm, found: Merged) -> None:
    own = {(name, collection.key(row)) for name, collection in COLLECTIONS.items() for row in getattr(farm, name)}
    for row in found.conflicts:
        name = NAMES[type(row)]
        (found.changed if (name, COLLECTIONS[name].key(row)) in own else found.added).append(row)


def _said_before(history: History, site: Site) -> bool:
    """Whether the farm's settings once were what the folder says: old news."""
    wanted = site_to_json(site)
    return any(values == wanted for _version, values in history.said((SITE, "")))


def _changed_farm(before: Farm, found: Merged, site: Site, desk: Desk) -> Farm:
    """The farm with what is new, its days of temperatures in order.

    Raises:
        FolderRefused: it does not fit.
    """
    rows = [*found.changed, *found.added]
    faults = faults_with(before, [row for row in rows if NAMES[type(row)] != "temperatures"])
    if faults:
        raise FolderRefused(faults=faults)
    farm = with_rows(replace(before, site=site), rows)
    farm = replace(farm, temperatures=tuple(sorted(farm.temperatures, key=lambda day: day.date)))
    return farm_with_kept_prices(farm, before, today=desk.today())


def _write(desk: Desk, work: UnitOfWork, changed: Farm, judged: tuple[Judged, ...]) -> None:
    before = work.farm
    seq = work.enter(BROUGHT, "farm", {PROMISED: True} if judged else {})
    if changed.site != before.site:
        work.site(changed.site, entry=seq)
    for name, collection in COLLECTIONS.items():
        own = {collection.key(row): row for row in getattr(before, name)}
        for row in getattr(changed, name):
            if own.get(collection.key(row)) != row:
                cut = cut_before(work, row) if isinstance(row, Record) and row.corrects is not None else {}
                work.put(row, entry=seq)
                if isinstance(row, Record) and row.corrects is not None:
                    post_cut(work, row, cut)
        wanted = [collection.key(row) for row in getattr(changed, name)]
        if wanted != [collection.key(row) for row in getattr(work.changed_farm, name)]:
            work.arrange(name, wanted, entry=seq)
    keep_together(desk, work, before, judged, entry=seq)


def promised_together(desk: Desk, before: Farm, changed: Farm, names: Names) -> tuple[Judged, ...]:
    """The judgement of all that a farm would ask more, all of it together.

    Args:
        desk: the desk.
        before: the farm as it stands.
        changed: the farm as it would be.
        names: of the changed farm, for the words of a refusal.

    Raises:
        FolderNotPromised: some of it cannot be promised beside what is.
    """
    judged = judge_together(desk, before, changed)
    if refused(judged):
        raise FolderNotPromised(orders=tuple(_refused_in_words(names, refused(judged))))
    return judged


def keep_together(desk: Desk, work: UnitOfWork, before: Farm, judged: Iterable[Judged], *, entry: int) -> None:
    """Keep in the book what was promised together."""
    for one in judged:
        keep_floors(desk, work, desk.plan_of(before), one.verdict, entry=entry)


def _counted(rows: Iterable[Row]) -> dict[str, int]:
    return dict(Counter(NAMES[type(row)] for row in rows))


def _told(names: Names, rows: Iterable[Row]) -> Iterator[str]:
    for row in rows:
        yield row_in_words(names, row)


def _refused_in_words(names: Names, judged: Iterable[Judged]) -> Iterator[str]:
    for one in judged:
        yield f"{names.order(one.order)}: {PromiseRefused(one).sentence}"
