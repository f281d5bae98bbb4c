"""Settle deliveries of a bucket list: what was seen is what is settled, posted to both books, each customer told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from haulm.errors import NotAccepted, NotFound
from haulm.jobs.bucket_day.bucket_lines import AS_DRAFTED, BucketLine, BucketList, Choices, DeliveryKey, LineDue
from haulm.jobs.bucket_day.confirmed_lists import (
    CONFIRMED,
    SettledDelivery,
    deliveries_in,
    short_before,
    short_customers,
    subject_of,
)
from haulm.jobs.bucket_day.list_prices import PRICED, list_prices
from haulm.jobs.bucket_day.listed import WeekList, changes, delivery_tags, figures_of, listed_lines, tag_of
from haulm.jobs.bucket_day.refusals import (
    DraftChanged,
    ListConfirmed,
    ListFarAhead,
    NotCutYet,
    NothingToSettle,
    ShortTwice,
)
from haulm.jobs.bucket_day.see_week import week_of
from haulm.jobs.bucket_day.tell_settled import tell_settled
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.refusals import DatePassed
from haulm.jobs.desk.seen import ANY_TAG
from haulm.jobs.farm.stems_in_store import bring_in
from haulm.jobs.field.last_cuts import last_cut_day
from haulm.language.words import _
from haulm.matching.reading.which_stems import Source
from haulm.planning.keeping import crops_of
from haulm.planning.plan import Plan
from haulm.planning.settled import pile_name
from haulm.store.journal import Pile, Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState

_SOON = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """Which deliveries are settled, and what was seen of them.

    Attributes:
        deliveries: the tag that was seen of each; None where it was seen under the list's. No deliveries named: each
            that can be settled.
        tag: the list's tag that was seen, or `ANY_TAG`.
        seen: the stems that were seen of each line, to say what has changed.
        shown: the choices under which it was seen.
        far_ahead: whether a day more than a week ahead is meant.
    """

    deliveries: Mapping[DeliveryKey, str | None] = field(default_factory=dict[DeliveryKey, str | None])
    tag: str = ANY_TAG
    seen: Mapping[LineDue, int] = field(default_factory=dict[LineDue, int])
    shown: Choices = AS_DRAFTED
    far_ahead: bool = False


AS_IT_STANDS = Settling()


@dataclass(frozen=True, slots=True)
class Settled:
    """What is settled: the list with the grower's choices, which of its deliveries, and what was settled before."""

    draft: BucketList
    keys: frozenset[DeliveryKey]
    before: tuple[SettledDelivery, ...] = ()

    @property
    def lines(self) -> tuple[BucketLine, ...]:
        """The lines that are settled."""
        return tuple(bucket for bucket in self.draft.lines if bucket.delivery in self.keys)

    @property
    def week(self) -> WeekList:
        """The list as it was before."""
        return WeekList(self.draft, self.before)


def confirm_bucket_list(
    desk: Desk, work: UnitOfWork, day: date, choices: Choices = AS_DRAFTED, settling: Settling = AS_IT_STANDS
) -> Settled:
    """Settle deliveries of a list as drafted or as the grower chose; writing is left to `post_bucket_list`.

    A delivery is settled once its last cut is written down, or the store alone fills it; one that is named before, by
    the grower's word that no cut is made for it, gets what is in the store.

    Raises:
        NotABucketDay, DatePassed, ListFarAhead: no such list can be settled now.
        DraftChanged: it is not as it was seen.
        ListConfirmed, NotCutYet, NothingToSettle: these deliveries are settled, or are expected still.
        NotFound, NotAccepted: what is decided of a line does not fit the list.
        ShortTwice: somebody would get too few a second time running, and the grower has not said yes to it.
    """
    plan = desk.plan_of(work.farm)
    no_cut = choices.no_cut | settling.shown.no_cut | _by_word(plan, settling.deliveries)
    seen_as = replace(settling.shown, no_cut=no_cut)
    week = week_of(desk, plan, day, seen_as)
    if week.draft.last < desk.today():
        raise DatePassed(what=_("Bucket list"), found=day, today=desk.today())
    _check_seen(week, settling)
    keys = _keys(desk, week, settling)
    if day > desk.today() + _SOON and not settling.far_ahead:
        raise ListFarAhead(day=day, today=desk.today())
    _check_decided(week, [*choices.trimmed, *(choices.kinds.keys() - settling.shown.kinds.keys())], keys)
    chosen = replace(choices, no_cut=no_cut, acknowledged=frozenset())
    draft = week.draft if chosen == seen_as else week_of(desk, plan, day, chosen).draft
    found = Settled(draft, keys, week.settled)
    again = sorted(short_customers(found.lines) & short_before(desk, day) - choices.acknowledged)
    if again:
        raise ShortTwice(customers=tuple(again))
    return found


def post_bucket_list(work: UnitOfWork, found: Settled) -> None:
    """Write what is settled: an entry with its lines as they were shown, both books, a letter once a delivery."""
    seq = settle(work, found)
    now = deliveries_in({"customers": listed_lines(found.draft, found.keys)}, found.draft.day, entry=seq)
    for key in sorted(now):
        tell_settled(work, now[key], seq)


def settle(work: UnitOfWork, found: Settled) -> int:
    """Write what is settled, without a letter; gives the place of its entry in the journal."""
    draft = found.draft
    facts = {"date": draft.day.isoformat(), "from": draft.day.isoformat(), "to": draft.last.isoformat()}
    customers = listed_lines(draft, found.keys)
    seq = work.enter(CONFIRMED, subject_of(draft.day), {**facts, "customers": customers})
    prices = list_prices(work.farm, crops_of(work.farm), customers)
    work.enter(PRICED, subject_of(draft.day), {"settled": seq, **prices})
    store = dict(work.stem_balances())
    for bucket in found.lines:
        _settle(work, bucket, seq, store)
    return seq


def _by_word(plan: Plan, named: Iterable[DeliveryKey]) -> frozenset[DeliveryKey]:
    """Deliveries that are named on their last cut day or after it: whoever names them says that no cut is to come."""
    wanted, last = set(named), dict[DeliveryKey, date]()
    for line in plan.result.lines:
        key = (line.order, line.due)
        if key in wanted and (day := last_cut_day(plan, line)) is not None:
            last[key] = max(day, last.get(key, day))
    return frozenset(key for key, day in last.items() if day <= plan.today)


def _check_seen(week: WeekList, settling: Settling) -> None:
    """Refuse what was not seen as it is: each delivery by its own tag, or by the list's.

    Raises:
        DraftChanged: it is not as it was seen.
    """
    tag = tag_of(week)
    tags = delivery_tags(week)
    under_list = settling.tag in (ANY_TAG, tag)
    stale = [
        key
        for key, seen in settling.deliveries.items()
        if (seen is None and not under_list and settling.tag != tags.get(key))
        or (seen is not None and seen not in (ANY_TAG, tags.get(key)))
    ]
    if stale or not (under_list or settling.deliveries):
        named = {key: tags.get(key) for key in sorted(stale)}
        found = changes(settling.seen, _of_seen(week, settling)) if settling.seen else ()
        raise DraftChanged(day=week.draft.day, etag=tag, changes=found, deliveries=named)


def _of_seen(week: WeekList, settling: Settling) -> dict[LineDue, int]:
    """The figures of now: of the lines that were seen, and of new ones where the whole list was."""
    now = figures_of(week)
    return {key: stems for key, stems in now.items() if key in settling.seen or not settling.deliveries}


def _keys(desk: Desk, week: WeekList, settling: Settling) -> frozenset[DeliveryKey]:
    """The deliveries that are settled.

    Raises:
        ListConfirmed, NotFound, NotCutYet, NothingToSettle: one of them, or none, can be.
    """
    draft, settled = week.draft, {one.key for one in week.settled}
    if not draft.lines:
        if settled:
            raise ListConfirmed(day=draft.day)
        raise NothingToSettle(day=draft.day, why=_("nothing leaves from it"))
    expected = {found.key: found for found in draft.deliveries}
    for order, due in settling.deliveries:
        if (order, due) in settled:
            raise ListConfirmed(day=draft.day)
        if (order, due) not in expected:
            raise NotFound(kind=_("delivery of {due} on this list").format(due=due), key=order)
        found = expected[order, due]
        if not found.can_settle and found.last_cut is not None:
            raise NotCutYet(order=order, due=due, last_cut=found.last_cut)
    keys = frozenset(settling.deliveries) or draft.can_settle
    if not keys:
        days = sorted({found.last_cut for found in draft.deliveries if found.last_cut is not None})
        why = _("all of it is expected until its cuts are written down, the first of {day}").format(day=days[0])
        raise NothingToSettle(day=draft.day, why=why)
    return keys


def _check_decided(week: WeekList, decided: Iterable[LineDue], keys: frozenset[DeliveryKey]) -> None:
    """Refuse what is decided of lines that are not settled now: it would be kept nowhere."""
    by_line = {(bucket.line.line, bucket.line.due): bucket.delivery for bucket in week.draft.lines}
    for line, due in decided:
        if (line, due) in by_line and by_line[line, due] not in keys:
            found, accepted = _("a line that is expected still"), _("a line of a delivery that is settled now")
            raise NotAccepted(
                where=_("line '{line}' due {due}").format(line=line, due=due), found=found, accepted=accepted
            )


def _settle(work: UnitOfWork, bucket: BucketLine, seq: int, store: dict[Pile, int]) -> None:
    line = bucket.line
    if not any(found.state is PromiseState.CONTRACTED for found in work.promises(line.line, line.due)[-1:]):
        level = line.promised_confidence
        made = Promise(line.line, line.due, line.order, PromiseState.CONTRACTED, line.stems, level)
        work.promise(made, entry=seq)
    work.promise(Promise(line.line, line.due, line.order, PromiseState.SETTLED, bucket.filled), entry=seq)
    for source in bucket.sources:
        _pack(work, f"{line.line}:{line.due}:{seq}", source, seq, store)
    for source in bucket.spare_sources:
        _pack(work, f"{line.line}:{line.due}:spare:{seq}", source, seq, store)


def _pack(work: UnitOfWork, line: str, source: Source, entry: int, store: dict[Pile, int]) -> None:
    """Pack stems of the cool store; stock that nobody has posted so far is posted on its way."""
    pile = Pile(pile_name(source.lot, source.length_cm), source.product, Account.STORE)
    key = f"{line}:{source.product}:{pile.source}"
    there = store.get(pile, 0)
    bring_in(work, pile, max(0, source.stems - there), entry=entry, key=f"{key}:in")
    store[pile] = max(0, there - source.stems)
    packed = StemPosting(key, pile.product, pile.source, Account.STORE, Account.PACKED, source.stems)
    work.post(packed, entry=entry)
