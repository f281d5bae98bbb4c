"""The van leaves: what is settled and packed is delivered, by a tap, or at midnight of its day."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from haulm.errors import NotAccepted, NotFound
from haulm.jobs.bucket_day.confirmed_lists import DELIVERED, OF_SETTLED, SettledDelivery, settled_deliveries, subject_of
from haulm.jobs.bucket_day.packed_stems import packed_of, posting_key
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.store.journal import Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState


def deliver_list(desk: Desk, work: UnitOfWork, day: date, due: date | None = None) -> int:
    """Write down that the van has left with what is packed of a list; gives the stems.

    Args:
        desk: where the work is done.
        work: the unit of work it is part of.
        day: the bucket day.
        due: the day whose stems have left; all that is due by today unless said, or else the next that is packed.

    Raises:
        NotFound: nothing of the list is settled.
        NotAccepted: all of it that is settled has left.
    """
    found = settled_deliveries(work.entries_of(*OF_SETTLED, about=subject_of(day))).values()
    if not found:
        raise NotFound(kind=_("settled bucket list"), key=str(day))
    packed = [one for one in found if not one.has_left and due in (None, one.due)]
    if not packed:
        where = (
            _("{day}, which was delivered").format(day=day)
            if due is None
            else _("{day}, of which nothing of {due} is packed").format(day=day, due=due)
        )
        raise NotAccepted(where=_("bucket list"), found=where, accepted=_("a list that is still packed"))
    last = due or max(desk.today(), min(one.due for one in packed))
    return _deliver(work, day, [one for one in packed if one.due <= last])


def deliver_at_midnight(desk: Desk, actor: str) -> int:
    """Write down as delivered what was settled for a day that is over; gives the stems."""
    settled = settled_deliveries(desk.store.entries_of(*OF_SETTLED)).values()
    days = sorted({one.day for one in settled if one.due < desk.today() and not one.has_left})
    stems = 0
    for day in days:
        with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
            found = settled_deliveries(work.entries_of(*OF_SETTLED, about=subject_of(day))).values()
            over = [one for one in found if one.due < desk.today() and not one.has_left]
            if over:
                stems += _deliver(work, day, over)
                work.save()
    return stems


def _deliver(work: UnitOfWork, day: date, found: Iterable[SettledDelivery]) -> int:
    """Deliver these; gives their stems."""
    gone = sorted(found, key=lambda one: (one.due, one.order))
    seq = work.enter(DELIVERED, subject_of(day), {"deliveries": [[one.order, one.due.isoformat()] for one in gone]})
    stems = 0
    for one in gone:
        for line in one.lines:
            key = str(line["line"])
            for part in packed_of(work, day, key, one.due):
                name = posting_key(key, one.due, part, f"out:{seq}")
                post = StemPosting(name, part.product, part.source, Account.PACKED, Account.DELIVERED, part.stems)
                work.post(post, entry=seq)
                stems += part.stems
            # An earlier release wrote a line as delivered when its list was confirmed.
            if not any(made.state is PromiseState.DELIVERED for made in work.promises(key, one.due)[-1:]):
                sent = Promise(key, one.due, one.order, PromiseState.DELIVERED, int(line["filled"]))
                work.promise(sent, entry=seq)
    return stems
