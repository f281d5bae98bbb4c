"""Monday's bucket list: drafted from the match on a careful season, confirmed once, frozen from then on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from haulm.demand.dated_line import DatedLine
from haulm.errors import NotAccepted, NotFound
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.words import LineClass
from haulm.jobs.desk import Desk
from haulm.jobs.refusals import DatePassed, ListConfirmed, NotABucketDay
from haulm.matching.which_stems import Source
from haulm.planning.plan import Plan
from haulm.planning.settled import pile_name
from haulm.store.journal import Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState

CONFIRMED = "bucket-list-confirmed"


@dataclass(frozen=True, slots=True)
class BucketLine:
    """One line of the list: what was asked, what there is for it, and how it goes out.

    Attributes:
        line: the dated line.
        filled: stems there are for it, from `sources`.
        bunches: whole bunches that go out; stems sold by the stem (weddings) go out as they are.
        over: stems that whole bunches leave behind.
        caution: what to take care of, or None.
        spare: stems of its breakage allowance asked; what there is for it, `spare_sources`, goes with it loose.
    """

    line: DatedLine
    filled: int
    bunches: int
    over: int
    sources: tuple[Source, ...]
    caution: str | None
    spare: int = 0
    spare_sources: tuple[Source, ...] = ()


@dataclass(frozen=True, slots=True)
class BucketList:
    """The lines due from a bucket day to the day before the next."""

    day: date
    last: date
    lines: tuple[BucketLine, ...]


def draft_bucket_list(desk: Desk, day: date) -> BucketList:
    """The list of a bucket day as the match would fill it today.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
    """
    return _draft(desk.plan(), day)


def confirm_bucket_list(desk: Desk, work: UnitOfWork, day: date, trimmed: Mapping[tuple[str, date], int]) -> BucketList:
    """Confirm a list, line by line as drafted or with fewer stems, and post it to both books.

    Args:
        desk: where the work is done.
        work: the unit of work it is part of; writing is left to `post_bucket_list`.
        day: the bucket day.
        trimmed: stems to send instead, by line and due date; fewer than drafted, or none.

    Raises:
        NotABucketDay, DatePassed, ListConfirmed: the list cannot be confirmed.
        NotFound, NotAccepted: a trimmed line is not on the list, or asks more than there is.
    """
    plan = desk.plan_of(work.farm)
    draft = _draft(plan, day)
    if draft.last < desk.today():
        raise DatePassed(what="Bucket list", found=day, today=desk.today())
    if work.last_entry(CONFIRMED, subject_of(day)) is not None:
        raise ListConfirmed(day=day)
    return _trimmed(draft, trimmed, plan.crops)


def post_bucket_list(work: UnitOfWork, confirmed: BucketList, body: Mapping[str, object]) -> None:
    """Write a confirmed list: one entry with the list as it was shown, then the two books."""
    seq = work.enter(CONFIRMED, subject_of(confirmed.day), body)
    for bucket in confirmed.lines:
        line = bucket.line
        if not any(found.state is PromiseState.CONTRACTED for found in work.promises(line.line, line.due)[-1:]):
            level = line.promised_confidence
            made = Promise(line.line, line.due, line.order, PromiseState.CONTRACTED, line.stems, level)
            work.promise(made, entry=seq)
        sent = Promise(line.line, line.due, line.order, PromiseState.DELIVERED, bucket.filled)
        work.promise(sent, entry=seq)
        for source in bucket.sources:
            _post(work, f"{line.line}:{line.due}", source, seq)
        for source in bucket.spare_sources:
            _post(work, f"{line.line}:{line.due}:spare", source, seq)


def confirmed_bucket_list(desk: Desk, day: date) -> Mapping[str, object] | None:
    """The list of a day as it was confirmed, or None."""
    entry = desk.store.last_entry(CONFIRMED, subject_of(day))
    return None if entry is None else entry.facts


def subject_of(day: date) -> str:
    """What the entry of a confirmed list is about."""
    return f"bucket-lists/{day.isoformat()}"


def _draft(plan: Plan, day: date) -> BucketList:
    site = plan.farm.site
    if day.isoweekday() != site.bucket_day.iso:
        raise NotABucketDay(found=day, accepted=_weekday(site))
    last = day + timedelta(days=6)
    careful = plan.careful
    due = [
        (line, careful.sources[place])
        for place, line in enumerate(careful.result.lines)
        if day <= line.due <= last and line.line_class is not LineClass.HOLD
    ]
    spares = {(line.line, line.due): (line.stems, sources) for line, sources in due if line.is_spare}
    lines = [
        _with_spare(_bucket_line(line, sources, plan.crops), *spares.get((line.line, line.due), (0, ())))
        for line, sources in due
        if not line.is_spare
    ]
    lines.sort(key=lambda bucket: (bucket.line.customer, bucket.line.due, bucket.line.line))
    return BucketList(day, last, tuple(lines))


def _bucket_line(line: DatedLine, sources: Sequence[Source], crops: Mapping[str, Crop]) -> BucketLine:
    filled = sum(source.stems for source in sources)
    bunches = whole = 0
    by_product: dict[str, int] = {}
    for source in sources:
        by_product[source.product.variety] = by_product.get(source.product.variety, 0) + source.stems
    for variety, stems in by_product.items():
        size = crops[variety].bunch_stems
        bunches += stems // size
        whole += stems // size * size
    over = 0 if line.line_class is LineClass.WEDDING else filled - whole
    cautions = sorted({crops[variety].caution or "" for variety in by_product} - {""})
    return BucketLine(line, filled, bunches, over, tuple(sources), "; ".join(cautions) or None)


def _with_spare(bucket: BucketLine, spare: int, sources: tuple[Source, ...]) -> BucketLine:
    return replace(bucket, spare=spare, spare_sources=sources)


def _trimmed(draft: BucketList, trimmed: Mapping[tuple[str, date], int], crops: Mapping[str, Crop]) -> BucketList:
    known = {(bucket.line.line, bucket.line.due): bucket for bucket in draft.lines}
    for (line, due), stems in trimmed.items():
        if (line, due) not in known:
            raise NotFound(kind=f"line due {due} on this list", key=line)
        if not 0 <= stems <= known[line, due].filled:
            accepted = f"0 to {known[line, due].filled} stems, what there is for it"
            raise NotAccepted(where=f"line '{line}' due {due}", found=str(stems), accepted=accepted)
    lines = tuple(
        _cut_down(bucket, trimmed[key], crops) if (key := (bucket.line.line, bucket.line.due)) in trimmed else bucket
        for bucket in draft.lines
    )
    return BucketList(draft.day, draft.last, lines)


def _cut_down(bucket: BucketLine, stems: int, crops: Mapping[str, Crop]) -> BucketLine:
    """The line with so many stems; what is given up comes off its spare, then off its last sources."""
    if stems == bucket.filled:
        return bucket
    kept: list[Source] = []
    left = stems
    for source in bucket.sources:
        taken = min(left, source.stems)
        if taken:
            kept.append(replace(source, stems=taken))
        left -= taken
    return _with_spare(_bucket_line(bucket.line, kept, crops), bucket.spare, ())


def _post(work: UnitOfWork, line: str, source: Source, entry: int) -> None:
    """The way of the stems, from the field through cutting and the store into the bucket."""
    pile = pile_name(source.lot, source.length_cm)
    for start, end in pairwise((Account.FIELD, Account.CUT, Account.STORE, Account.PACKED)):
        key = f"{line}:{source.product}:{pile}:{start}"
        work.post(StemPosting(key, source.product, pile, start, end, source.stems), entry=entry)


def _weekday(site: Site) -> str:
    return f"{date.fromisocalendar(2027, 1, site.bucket_day.iso):%A}"
