"""Stems that were cut: a field record, and their way from the field into the cool store, in one go."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from haulm.errors import NotAccepted
from haulm.farm.products import Product
from haulm.farm.records import Record
from haulm.farm.snapshot import Farm
from haulm.farm.words import Form, Grade, RecordKind
from haulm.jobs.change_rows import RowAsked, add_row
from haulm.jobs.desk import Desk
from haulm.planning.seen import standing_records
from haulm.store.journal import StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account


@dataclass(frozen=True, slots=True)
class CutAsked:
    """Stems that were cut, of a batch or of a kind.

    Attributes:
        batch, variety: one of them.
        stems: good stems cut.
        left: stems left standing, where somebody looked.
        length_cm: their length, where it was measured.
        grade: A, or B for shorter or softer ones, which fill no order.
        beyond_count: whether more were cut than were counted standing today, and that is right.
    """

    stems: int
    batch: str | None = None
    variety: str | None = None
    left: int | None = None
    length_cm: int | None = None
    grade: Grade = Grade.A
    beyond_count: bool = False


def record_cut(desk: Desk, work: UnitOfWork, asked: CutAsked) -> Record:
    """Write down a cut and post its stems into the cool store.

    Raises:
        NotAccepted: no stems, neither or both of batch and kind, or more than were counted standing today.
        FolderRefused: the record does not fit the farm.
    """
    if asked.stems < 1:
        raise NotAccepted(where="stems", found=str(asked.stems), accepted="1 or more")
    if (asked.batch is None) == (asked.variety is None):
        raise NotAccepted(where="cut", found="both or neither", accepted="either a batch or a variety")
    farm = work.farm
    if not asked.beyond_count:
        _check_count(desk, farm, asked)
    values: dict[str, object] = {
        "date": desk.today().isoformat(),
        "kind": str(RecordKind.CUT),
        "count": asked.stems,
        "grade": str(asked.grade),
    }
    optional = {"batch": asked.batch, "variety": asked.variety, "left": asked.left, "length_cm": asked.length_cm}
    values |= {name: value for name, value in optional.items() if value is not None}
    record: Record = add_row(desk, work, RowAsked("records", values))
    seq = work.enter("stems-cut", f"records/{record.key}", {"stems": asked.stems})
    product = Product(_variety(farm, asked), Form.FRESH)
    for start, end in pairwise((Account.FIELD, Account.CUT, Account.STORE)):
        work.post(StemPosting(f"cut:{record.key}:{start}", product, record.key, start, end, asked.stems), entry=seq)
    return record


def _check_count(desk: Desk, farm: Farm, asked: CutAsked) -> None:
    """Refuse to cut more of a kind today than the last walk of today counted standing."""
    variety, today = _variety(farm, asked), desk.today()
    batches = {batch.key for batch in farm.batches if batch.variety == variety}
    own = [
        record
        for record in standing_records(farm.records)
        if record.date == today and (record.variety == variety or record.batch in batches)
    ]
    counted = [record.count or 0 for record in own if record.kind is RecordKind.STANDING]
    if not counted:
        return
    cut = sum(record.count or 0 for record in own if record.kind is RecordKind.CUT)
    if cut + asked.stems > counted[-1]:
        found = (
            f"{asked.stems} stems of {variety} besides {cut} cut before" if cut else f"{asked.stems} stems of {variety}"
        )
        accepted = f"at most the {counted[-1]} counted standing today, or beyond_count"
        raise NotAccepted(where="cut", found=found, accepted=accepted)


def _variety(farm: Farm, asked: CutAsked) -> str:
    if asked.variety is not None:
        return asked.variety
    found = next((batch.variety for batch in farm.batches if batch.key == asked.batch), None)
    if found is None:
        raise NotAccepted(where="batch", found=f"'{asked.batch}'", accepted="the key of a batch")
    return found
