"""Backups by themselves: one a day, proved by reading it back; of seven days, five weeks, twelve months they stay."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from haulm.errors import HaulmError
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week, near_day_in_words
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.store.errors import BackupRefused
from haulm.store.journal import rebuilt_books, rebuilt_farm
from haulm.store.store import Store

JOB, FAILED = "backup", "backup-failed"
AT_HOUR = 3
"""The hour of the farm's clock from which the day's backup is due."""
DAYS, WEEKS, MONTHS = 7, 5, 12
_LEASE = timedelta(hours=1)
_OLD = timedelta(days=2)
_NAME = re.compile(r"haulm-(\d{4}-\d{2}-\d{2})\.backup")


@dataclass(frozen=True, slots=True)
class BackupSeen:
    """The last backup in a sentence, and whether somebody should look: it is old, or the last try failed."""

    sentence: str
    is_grave: bool


def back_up(desk: Desk, folder: Path, worker: str) -> bool:
    """Make and prove the day's backup where its hour has come and none was made; False where there is nothing to do.

    Raises:
        BackupRefused: it could not be written, or what it holds is not what was written.
        FarmEmpty: nothing was imported yet.
    """
    zone = ZoneInfo(desk.store.farm().site.timezone)
    local = desk.now().astimezone(zone)
    day = local.date()
    if local.hour < AT_HOUR or desk.store.outbox.is_done(JOB, str(day)):
        return False
    if not desk.store.leases.take(JOB, worker, desk.now(), _LEASE):
        return False
    try:
        target = folder_made(folder) / f"haulm-{day}.backup"
        desk.store.backup(target)
        prove(desk.store, target)
        rotate(folder, day)
        desk.store.outbox.note_done(JOB, str(day), desk.now())
    except HaulmError:
        desk.store.outbox.note_done(FAILED, f"{day} {desk.now():%H:%M:%S.%f}", desk.now())
        raise
    finally:
        desk.store.leases.give_back(JOB, worker)
    return True


def folder_made(folder: Path) -> Path:
    """The folder of backups, made where it is not there, for its owner alone.

    Raises:
        BackupRefused: it cannot be made.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as fault:
        raise BackupRefused(
            reason=_("'{folder}' cannot be made: {strerror}.").format(folder=folder, strerror=fault.strerror)
        ) from None
    return folder


def prove(store: Store, copy: Path) -> None:
    """Read a copy back in a scratch database, and compare: its journal with the store's, its tables with its journal.

    Raises:
        BackupRefused: they differ, or it cannot be read back.
    """
    with store.scratch(copy) as scratch:
        entries, farm = scratch.entries(), scratch.farm()
        books = rebuilt_books(entries)
        said = (books.promises, dict(books.balances), books.floors)
        kept = (scratch.promises(), scratch.stem_balances(), scratch.floor_rows())
        tables = _nameless(farm) == _nameless(rebuilt_farm(entries))
        if not tables or said != kept or store.entries()[: len(entries)] != entries:
            raise BackupRefused(
                reason=_("'{copy}' was read back and does not hold what was written.").format(copy=copy)
            )


def _nameless(farm: Farm) -> Farm:
    """A farm without names and addresses, which the journal does not hold."""
    customers = tuple(replace(one, name=one.key, email=None, phone=None) for one in farm.customers)
    return replace(farm, customers=customers, version=0)


def rotate(folder: Path, today: date) -> tuple[Path, ...]:
    """Take out the day's backups that are no longer to be kept; other files stay. Gives what was taken out."""
    found = {}
    for path in folder.iterdir():
        name = _NAME.fullmatch(path.name)
        if name is not None:
            with suppress(ValueError):
                found[date.fromisoformat(name[1])] = path
    kept = days_kept(sorted(found), today)
    gone = tuple(path for day, path in sorted(found.items()) if day not in kept)
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def days_kept(days: Sequence[date], today: date) -> frozenset[date]:
    """Of days with a backup, those that are kept: the last seven, and the last one of five weeks and twelve months."""
    past = [day for day in days if day <= today]
    weeks = _last_of((day, str(Week.of(day))) for day in past)
    months = _last_of((day, f"{day:%Y-%m}") for day in past)
    ahead = [day for day in days if day > today]
    return frozenset([*past[-DAYS:], *weeks[-WEEKS:], *months[-MONTHS:], *ahead])


def _last_of(days: Iterable[tuple[date, str]]) -> list[date]:
    return list({period: day for day, period in days}.values())


def last_backup(desk: Desk) -> BackupSeen:
    """The last backup as Today says it."""
    done, failed = desk.store.outbox.last_done(JOB), desk.store.outbox.last_done(FAILED)
    zone = ZoneInfo(desk.store.farm().site.timezone)
    if failed is not None and (done is None or failed[1] > done[1]):
        said = _("The last try at a backup failed: {when}. The service's log says why.")
        return BackupSeen(said.format(when=_when(failed[1], desk.now(), zone)), is_grave=True)
    if done is None:
        return BackupSeen(_("No backup was made yet."), is_grave=False)
    when = _when(done[1], desk.now(), zone)
    is_old = desk.now() - done[1] > _OLD
    return BackupSeen(_("Last backup: {when}, checked.").format(when=when), is_old)


def _when(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """A moment as people say it: `this morning at 03:10`."""
    local, today = at.astimezone(zone), now.astimezone(zone).date()
    clock = f"{local:%H:%M}"
    if local.date() == today:
        return (_("this morning at {time}") if local.hour < 12 else _("today at {time}")).format(time=clock)
    if local.date() == today - timedelta(days=1):
        return _("yesterday at {time}").format(time=clock)
    return _("{day} at {time}").format(day=near_day_in_words(local.date()), time=clock)
