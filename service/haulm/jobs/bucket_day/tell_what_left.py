"""A day is over and nobody wrote down what left: the grower says it now, and nothing is guessed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date, timedelta

from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.errors import NotAccepted, NotFound
from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.bucket_lines import BucketLine, BucketList, DeliveryKey, bucket_line
from haulm.jobs.bucket_day.confirm_bucket_list import Settled, settle
from haulm.jobs.bucket_day.confirmed_lists import DELIVERED, OF_SETTLED, settled_deliveries, subject_of
from haulm.jobs.bucket_day.correct_list import fitting
from haulm.jobs.bucket_day.refusals import ListConfirmed
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.matching.reading.which_stems import Source
from haulm.planning.keeping import crops_of
from haulm.planning.known import lot_of
from haulm.store.journal import Pile, Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState


def lines_over(desk: Desk, day: date) -> dict[DeliveryKey, list[DatedLine]]:
    """The deliveries of a list whose day is over and of which nobody wrote what left, with their lines."""
    today = desk.today()
    settled = settled_deliveries(desk.store.entries_of(*OF_SETTLED))
    found: dict[DeliveryKey, list[DatedLine]] = {}
    for line in demand(desk.store.farm(), day) if day < today else ():
        key = (line.order, line.due)
        on_list = line.due < min(today, day + timedelta(days=7)) and line.line_class is not LineClass.HOLD
        if on_list and not line.is_spare and key not in settled:
            found.setdefault(key, []).append(line)
    return found


def tell_what_left(desk: Desk, work: UnitOfWork, day: date, key: DeliveryKey, stems: Mapping[str, int]) -> None:
    """Write down what left of a delivery whose day is over; a line that is not named got nothing.

    The stems come out of the cool store, where they must have been.

    Raises:
        NotFound: no such delivery or line was on the list.
        ListConfirmed: it was settled.
        NotAccepted: its day is not over, or the store has had fewer stems that the line accepts.
    """
    order, due = key
    if due >= desk.today():
        raise NotAccepted(where="due", found=str(due), accepted=_("a day before {today}").format(today=desk.today()))
    if key in settled_deliveries(work.entries_of(*OF_SETTLED)):
        raise ListConfirmed(day=day)
    lines = lines_over(desk, day).get(key)
    if lines is None:
        raise NotFound(kind=_("delivery of {due} on this list").format(due=due), key=order)
    if strange := sorted(set(stems) - {line.line for line in lines}):
        raise NotFound(kind=_("line due {due} on this list").format(due=due), key=strange[0])
    taken = Counter[Pile]()
    own = tuple(_sent(desk, work, line, stems.get(line.line, 0), taken) for line in lines)
    seq = settle(work, Settled(BucketList(day, day + timedelta(days=6), own), frozenset({key})))
    _deliver(work, day, own, seq)


def _sent(desk: Desk, work: UnitOfWork, line: DatedLine, stems: int, taken: Counter[Pile]) -> BucketLine:
    left = stems
    sources: list[Source] = []
    for pile, known, there in fitting(desk, work, line.line, line.due):
        some = min(left, there - taken[pile])
        if some > 0:
            sources.append(Source(pile.product, known.length_cm or 0, lot_of(known), some))
            taken[pile] += some
            left -= some
    if left or stems < 0:
        accepted = _("0 to {most}, what the store has for it; write down its cut first").format(
            most=max(0, stems - left)
        )
        raise NotAccepted(
            where=_("line '{line}' due {due}").format(line=line.line, due=line.due), found=str(stems), accepted=accepted
        )
    return bucket_line(line, sources, crops_of(work.farm))


def _deliver(work: UnitOfWork, day: date, lines: tuple[BucketLine, ...], settled: int) -> None:
    keys = sorted({(bucket.line.order, bucket.line.due.isoformat()) for bucket in lines})
    seq = work.enter(DELIVERED, subject_of(day), {"deliveries": [list(key) for key in keys]}, corrects=settled)
    for bucket in lines:
        line = bucket.line
        for source in bucket.sources:
            key = f"{line.line}:{line.due}:out:{seq}:{source.product}:{source.lot.key}"
            post = StemPosting(key, source.product, source.lot.key, Account.PACKED, Account.DELIVERED, source.stems)
            work.post(post, entry=seq)
        work.promise(Promise(line.line, line.due, line.order, PromiseState.DELIVERED, bucket.filled), entry=seq)
