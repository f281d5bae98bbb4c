"""Records that cannot well be: written down only when they are said again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from haulm.errors import HaulmError
from haulm.evidence.seen import Seen, seen
from haulm.evidence.shared_out import has_begun
from haulm.farm.batches import Batch
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.words import RecordKind
from haulm.forecast.inputs import Evidence
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.batch_forecast import first_stem_of
from haulm.language.days import day_of_year
from haulm.language.words import _
from haulm.planning.keeping import crops_of

_STEMS = frozenset((RecordKind.FIRST_CUT, RecordKind.CUT, RecordKind.HUNG, RecordKind.STANDING))
_CUT = frozenset((RecordKind.FIRST_CUT, RecordKind.CUT, RecordKind.HUNG))
_BEFORE_SOWING = frozenset((RecordKind.SOWN, RecordKind.RESOWN, RecordKind.CORRECTED, RecordKind.FROST))
_FAR = timedelta(weeks=3)
"""So far before an early season's first stem, or after a late one's, is asked about."""
_CLOCK = timedelta(days=1)
_BEYOND = 2
"""Times what plants give on average: more is asked about."""


class DoubtfulRecord(HaulmError):
    """Records say what cannot well be; they are written when they are said again."""

    code = "really"

    def __init__(self, *, doubts: Sequence[str]) -> None:
        super().__init__(
            _("Really? {doubts} Nothing was written; say it again if it is so.").format(doubts=" ".join(doubts)),
            doubts=list(doubts),
        )
        self.doubts = tuple(doubts)


def asks_forecast(farm: Farm, values: Mapping[str, object]) -> bool:
    """Whether a record with these values is held against the forecast: the first stems of a batch or a kind."""
    if str(values.get("kind")) not in _STEMS or values.get("really") is True:
        return False
    found = seen(farm, crops_of(farm))
    about = [one for one in found.batches if values.get("batch") == one.key or values.get("variety") == one.variety]
    return bool(about) and not any(has_begun(one, found.evidence[one.key]) for one in about)


def require_sure(desk: Desk, farm: Farm, rows: Sequence[Record]) -> tuple[Record, ...]:
    """The records as they are written: marked where they were asked about and said again.

    Raises:
        DoubtfulRecord: some are doubtful and were not said again; every doubt is named.
    """
    found = seen(farm, crops_of(farm)) if rows else None
    doubts = [tuple(_doubts(desk, farm, row, found)) if found is not None else () for row in rows]
    asked = [sentence for row, own in zip(rows, doubts, strict=True) if not row.really for sentence in own]
    if asked:
        raise DoubtfulRecord(doubts=tuple(dict.fromkeys(asked)))
    return tuple(replace(row, really=bool(own)) for row, own in zip(rows, doubts, strict=True))


def future_records(records: Sequence[Record], today: date) -> tuple[str, ...]:
    """What records of days to come say, in a sentence each; those said again are left out."""
    return tuple(
        _("Record {key} is of {date}, which is still to come; it counts as if it had happened.").format(
            key=row.key, date=_day(row.date)
        )
        for row in records
        if row.date > today and not row.really
    )


def _doubts(desk: Desk, farm: Farm, row: Record, found: Seen) -> Iterator[str]:
    today, what = desk.today(), _named(farm, row)
    if row.date > today:
        yield _("{what} on {date}: that day is still to come.").format(what=what, date=_day(row.date))
    if row.typed_at is not None and datetime.fromisoformat(row.typed_at) - desk.now() > _CLOCK:
        typed = _day(datetime.fromisoformat(row.typed_at).date())
        yield _("{what}: it says it was typed on {typed}; is the clock right?").format(what=what, typed=typed)
    about = [one for one in found.batches if row.batch == one.key or row.variety == one.variety]
    if not about or row.kind in _BEFORE_SOWING:
        return
    sown = [one.sow_date for one in about if one.sow_date is not None]
    if len(sown) == len(about) and row.date < min(sown):
        yield _("{what} on {date}: it was sown on {sown}.").format(what=what, date=_day(row.date), sown=_day(min(sown)))
    elif row.kind in _STEMS and row.count != 0:
        yield from _unexpected(desk, farm, row, (what, about, found.evidence))
    if row.kind in _CUT and row.count:
        yield from _beyond(farm, row, (what, about, found.evidence))


def _unexpected(
    desk: Desk, farm: Farm, row: Record, known: tuple[str, list[Batch], Mapping[str, Evidence]]
) -> Iterator[str]:
    """First stems weeks before an early season would give them, or after a late one."""
    what, about, evidence = known
    if any(has_begun(one, evidence[one.key]) for one in about):
        return
    plan = desk.plan_of(farm)
    found = [first for one in about if (first := first_stem_of(plan, one.key)) is not None]
    if not found:
        return
    early, late = min(first[0] for first in found), max(first[2] for first in found)
    if row.date < early - _FAR or row.date > late + _FAR:
        middling = min(first[1] for first in found)
        off = (row.date - middling).days
        said = (
            _("{what} on {day}: its first stems are expected about {expected}, {days} days earlier.")
            if off > 0
            else _("{what} on {day}: its first stems are expected about {expected}, {days} days later.")
        )
        yield said.format(what=what, day=_day(row.date), expected=_day(middling), days=abs(off))


def _beyond(farm: Farm, row: Record, known: tuple[str, list[Batch], Mapping[str, Evidence]]) -> Iterator[str]:
    """More than twice what the plants give on average, what was cut before included."""
    what, about, evidence = known
    crops = crops_of(farm)
    plants = {one.key: _plants(one, evidence[one.key]) for one in about}
    most = _BEYOND * sum(plants[one.key] * crops[one.variety].stems_per_plant for one in about)
    before = sum(evidence[one.key].cut_so_far for one in about)
    if most and before + (row.count or 0) > most:
        said = (
            _("{what}: {stems} stems besides {before} cut before; {plants} plants give about {usual}.")
            if before
            else _("{what}: {stems} stems; {plants} plants give about {usual}.")
        )
        yield said.format(
            what=what,
            stems=f"{row.count:,}",
            before=f"{before:,}",
            plants=f"{sum(plants.values()):,}",
            usual=f"{most / _BEYOND:,.0f}",
        )


def _plants(batch: Batch, known: Evidence) -> int:
    return batch.most_plants if known.plants_alive is None else known.plants_alive


def _named(farm: Farm, row: Record) -> str:
    """What a record is about, as a person says it: its kind's name, its bed, and what was seen."""
    batch = next((one for one in farm.batches if one.key == row.batch), None)
    key = batch.variety if batch is not None else row.variety
    name = next((one.name for one in farm.varieties if one.key == key), _("The whole farm"))
    bed = next((one.name for one in farm.beds if batch is not None and one.key == batch.bed), None)
    return f"{name}{f' in {bed}' if bed else ''}, {str(row.kind).replace('_', ' ')}"


def _day(day: date) -> str:
    return day_of_year(day)
