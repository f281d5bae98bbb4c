"""Stems that were cut: a field record, and their way from the field into the cool store, in one go."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.errors import NotAccepted, NotFound
from haulm.evidence.seen import in_time, standing_records
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.words import Grade, RecordKind
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.farm.stems_in_store import cut_variety
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork


@dataclass(frozen=True, slots=True)
class CutAsked:
    """Stems that were cut, of a batch or of a kind.

    Attributes:
        batch, variety: one of them.
        stems: good stems cut.
        left: stems left standing, where somebody looked.
        length_cm: their length, where it was measured.
        grade: A, or B for shorter or softer ones, which fill no order.
        beyond_count: whether more were cut than were counted standing that day, and that is right.
        day: the day of the cut; today unless said.
        key: the record's key, made where it was typed, so that it is written once however often it is sent.
        typed_at: when it was typed.
        really: whether what is doubtful was said again.
    """

    stems: int
    batch: str | None = None
    variety: str | None = None
    left: int | None = None
    length_cm: int | None = None
    grade: Grade = Grade.A
    beyond_count: bool = False
    day: date | None = None
    key: str | None = None
    typed_at: str | None = None
    really: bool = False


def record_cut(desk: Desk, work: UnitOfWork, asked: CutAsked) -> Record:
    """Write down a cut, whose stems are in the cool store from then on.

    Raises:
        NotAccepted: no stems, neither or both of batch and kind, or more than were counted standing that day.
        DoubtfulRecord: it cannot well be, and was not said again.
        FolderRefused: the record does not fit the farm.
    """
    if asked.stems < 1:
        raise NotAccepted(where="stems", found=str(asked.stems), accepted=_("1 or more"))
    if (asked.batch is None) == (asked.variety is None):
        raise NotAccepted(where="cut", found=_("both or neither"), accepted=_("either a batch or a variety"))
    farm = work.farm
    is_known = asked.key is not None and any(record.key == asked.key for record in farm.records)
    if not (asked.beyond_count or is_known):
        _check_count(desk, farm, asked)
    values: dict[str, object] = {
        "date": (asked.day or desk.today()).isoformat(),
        "kind": str(RecordKind.CUT),
        "count": asked.stems,
        "grade": str(asked.grade),
        "really": asked.really,
    }
    for name in ("batch", "variety", "left", "length_cm", "key", "typed_at"):
        if getattr(asked, name) is not None:
            values[name] = getattr(asked, name)
    record: Record = add_row(desk, work, RowAsked("records", values))
    return record


def recount_cut(desk: Desk, work: UnitOfWork, cut: str, stems: int) -> Record:
    """Write down that a cut was of so many stems after all; the record stays, another of the same day corrects it.

    Raises:
        NotFound: no standing record of a cut has that key.
        NotAccepted: fewer stems than have left the store.
    """
    was = next((record for record in cuts_of(work.farm) if record.key == cut), None)
    if was is None:
        raise NotFound(kind=_("cut"), key=cut)
    values: dict[str, object] = {"kind": str(RecordKind.CORRECTED), "corrects": cut, "count": stems}
    record: Record = add_row(desk, work, RowAsked("records", {**values, "date": was.date.isoformat()}))
    return record


def cuts_of(farm: Farm, day: date | None = None) -> tuple[Record, ...]:
    """The cuts that stand, corrected ones as they were put right, newest first; of one day, where it is named."""
    found = (record for record in standing_records(farm.records) if record.kind is RecordKind.CUT)
    return tuple(reversed([record for record in found if day is None or record.date == day]))


def _check_count(desk: Desk, farm: Farm, asked: CutAsked) -> None:
    """Refuse to cut more of a kind on a day than the last walk of that day counted standing."""
    variety, today = cut_variety(farm, asked.batch, asked.variety), asked.day or desk.today()
    batches = {batch.key for batch in farm.batches if batch.variety == variety}
    own = [
        record
        for record in in_time(standing_records(farm.records))
        if record.date == today and (record.variety == variety or record.batch in batches)
    ]
    of_batch = [record for record in own if record.batch is not None and record.batch == asked.batch]
    if any(record.kind is RecordKind.STANDING for record in of_batch):
        own = of_batch
    counted: dict[str, int] = {}
    cut = 0
    for record in own:
        if record.kind is RecordKind.STANDING:
            counted[record.batch or ""] = record.count or 0
            cut = 0
        elif record.kind is RecordKind.CUT:
            cut += record.count or 0
    if not counted:
        return
    standing = max(counted.get("", 0), sum(stems for batch, stems in counted.items() if batch))
    if cut + asked.stems > standing:
        found = (
            _("{stems} stems of {variety} besides {cut} cut before").format(stems=asked.stems, variety=variety, cut=cut)
            if cut
            else _("{stems} stems of {variety}").format(stems=asked.stems, variety=variety)
        )
        accepted = _("at most the {standing} counted standing today, or beyond_count").format(standing=standing)
        raise NotAccepted(where="cut", found=found, accepted=accepted)
