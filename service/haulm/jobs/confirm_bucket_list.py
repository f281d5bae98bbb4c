"""Monday's bucket list: drafted from the match on a careful season, confirmed once, frozen from then on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from haulm.advice.even_share import Share, even_share
from haulm.demand.dated_line import DatedLine
from haulm.errors import NotAccepted, NotFound
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.words import LineClass
from haulm.jobs.desk import Desk
from haulm.jobs.letters import confirmed_letters
from haulm.jobs.refusals import DatePassed, ListConfirmed, NotABucketDay, ShortTwice
from haulm.matching.supply import Lot
from haulm.matching.which_stems import Source
from haulm.planning.keeping import crops_of
from haulm.planning.plan import Plan
from haulm.planning.settled import is_from_field, pile_name
from haulm.store.journal import Pile, Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState

CONFIRMED, CORRECTED = "bucket-list-confirmed", "bucket-list-corrected"


@dataclass(frozen=True, slots=True)
class BucketLine:
    """One line of the list: what was asked, what there is for it, and how it goes out.

    Attributes:
        line: the dated line.
        filled: stems there are for it, from `sources`.
        bunches: whole bunches that go out; stems sold by the stem (weddings) go out as they are.
        over: stems that whole bunches leave behind.
        caution: what to take care of, or None.
        share: the working of an even share, where the grower chose one.
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
    share: Share | None = None


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


@dataclass(frozen=True, slots=True)
class Choices:
    """What the grower decides of a list; nothing decided leaves it as drafted.

    Attributes:
        trimmed: stems to send instead, by line and due date; fewer than drafted, or none.
        evenly: products to be shared evenly within a class, where there are not enough; precedence otherwise.
        acknowledged: customers who are sent too few a second bucket day running, and of whom the grower says yes to it.
    """

    trimmed: Mapping[tuple[str, date], int] = field(default_factory=dict[tuple[str, date], int])
    evenly: frozenset[str] = frozenset()
    acknowledged: frozenset[str] = frozenset()


AS_DRAFTED = Choices()


def chosen_bucket_list(desk: Desk, day: date, choices: Choices) -> BucketList:
    """The list of a bucket day with the grower's choices, before it is confirmed.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
        NotFound, NotAccepted: a trimmed line is not on the list, or asks more than there is.
    """
    return _chosen(desk, desk.plan(), day, choices)


def confirm_bucket_list(desk: Desk, work: UnitOfWork, day: date, choices: Choices = AS_DRAFTED) -> BucketList:
    """Confirm a list as drafted or as the grower chose, to be posted to both books.

    Args:
        desk: where the work is done.
        work: the unit of work it is part of; writing is left to `post_bucket_list`.
        day: the bucket day.
        choices: what the grower decided.

    Raises:
        NotABucketDay, DatePassed, ListConfirmed: the list cannot be confirmed.
        NotFound, NotAccepted: a trimmed line is not on the list, or asks more than there is.
        ShortTwice: somebody would get too few a second time running, and the grower has not said yes to it.
    """
    plan = desk.plan_of(work.farm)
    draft = _chosen(desk, plan, day, choices)
    if draft.last < desk.today():
        raise DatePassed(what="Bucket list", found=day, today=desk.today())
    if work.last_entry(CONFIRMED, subject_of(day)) is not None:
        raise ListConfirmed(day=day)
    again = sorted(short_customers(draft.lines) & short_before(desk, day) - choices.acknowledged)
    if again:
        raise ShortTwice(customers=tuple(again))
    return draft


def post_bucket_list(work: UnitOfWork, confirmed: BucketList, body: Mapping[str, Any]) -> None:
    """Write a confirmed list: one entry with the list as it was shown, the two books, and a letter to each customer."""
    seq = work.enter(CONFIRMED, subject_of(confirmed.day), body)
    store = dict(work.stem_balances())
    for bucket in confirmed.lines:
        line = bucket.line
        if not any(found.state is PromiseState.CONTRACTED for found in work.promises(line.line, line.due)[-1:]):
            level = line.promised_confidence
            made = Promise(line.line, line.due, line.order, PromiseState.CONTRACTED, line.stems, level)
            work.promise(made, entry=seq)
        sent = Promise(line.line, line.due, line.order, PromiseState.DELIVERED, bucket.filled)
        work.promise(sent, entry=seq)
        for source in bucket.sources:
            _pack(work, f"{line.line}:{line.due}", source, seq, store)
        for source in bucket.spare_sources:
            _pack(work, f"{line.line}:{line.due}:spare", source, seq, store)
    for letter in confirmed_letters(work.farm, crops_of(work.farm), confirmed.day, body["customers"]):
        work.send(letter)


def short_customers(lines: Sequence[BucketLine]) -> frozenset[str]:
    """Those who get fewer stems than they asked on some line; the stall does not count."""
    return frozenset(
        bucket.line.customer
        for bucket in lines
        if bucket.filled < bucket.line.stems and bucket.line.line_class is not LineClass.STALL
    )


def short_before(desk: Desk, day: date) -> frozenset[str]:
    """Those who got too few on the bucket day before, be it by a correction."""
    last = day - timedelta(days=7)
    before = confirmed_bucket_list(desk, last)
    less = {
        (entry.facts["line"], entry.facts["due"]): int(entry.facts["stems"])
        for entry in desk.store.entries_of(CORRECTED, about=subject_of(last))
    }
    customers: Sequence[Mapping[str, Any]] = () if before is None else before.get("customers", ())
    return frozenset(
        found["customer"]
        for found in customers
        for line in found["lines"]
        if min(line["filled"], less.get((line["line"], line["due"]), line["filled"])) < line["asked"]
        and line["class"] != LineClass.STALL
    )


def confirmed_bucket_list(desk: Desk, day: date) -> Mapping[str, Any] | None:
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


def _pack(work: UnitOfWork, line: str, source: Source, entry: int, store: dict[Pile, int]) -> None:
    """The way of the stems into the bucket: those in the cool store from there, the others through cutting."""
    pile = pile_name(source.lot, source.length_cm)
    kept = Pile(pile, source.product, Account.STORE)
    from_store = min(source.stems, store.get(kept, 0))
    store[kept] = store.get(kept, 0) - from_store
    left = source.stems - from_store
    if from_store:
        key = f"{line}:{source.product}:{pile}:{Account.STORE}:kept"
        work.post(StemPosting(key, source.product, pile, Account.STORE, Account.PACKED, from_store), entry=entry)
    for back in sorted(found for found in store if _is_taken_back(work, found, source)) if left else ():
        taken = min(left, store[back])
        if taken:
            key = f"{line}:{source.product}:{pile}:{back.source}:kept"
            work.post(StemPosting(key, back.product, back.source, Account.STORE, Account.PACKED, taken), entry=entry)
            store[back] -= taken
            left -= taken
    for start, end in pairwise((Account.FIELD, Account.CUT, Account.STORE, Account.PACKED)):
        if left:
            key = f"{line}:{source.product}:{pile}:{start}"
            work.post(StemPosting(key, source.product, pile, start, end, left), entry=entry)


def _is_taken_back(work: UnitOfWork, pile: Pile, source: Source) -> bool:
    """Whether a pile of the store was packed from the field, taken back, and is now counted with the stems of a cut."""
    is_cut = any(record.key == source.lot.key for record in work.farm.records)
    return is_cut and pile.account is Account.STORE and pile.product == source.product and is_from_field(pile.source)


def _chosen(desk: Desk, plan: Plan, day: date, choices: Choices) -> BucketList:
    draft = _draft(plan, day)
    if choices.evenly:
        lines = shared_evenly(draft.lines, choices.evenly, short_before(desk, day), plan.crops)
        draft = BucketList(draft.day, draft.last, lines)
    return _trimmed(draft, choices.trimmed, plan.crops)


def shared_evenly(
    lines: Sequence[BucketLine], products: frozenset[str], shorted: frozenset[str], crops: Mapping[str, Crop]
) -> tuple[BucketLine, ...]:
    """The lines with what they get of some products shared evenly among those who could have the same stems.

    Args:
        lines: the list as drafted.
        products: the products to share.
        shorted: customers who got too few on the bucket day before: the first in turn for a bunch that is left over.
        crops: every variety, for its bunch.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, bucket in enumerate(lines):
        line = bucket.line
        if line.product is not None and str(line.product) in products:
            same = (str(line.product), line.line_class, line.due, line.stage, line.min_length_cm, line.max_age_days)
            groups.setdefault(same, []).append(place)
    changed = list(lines)
    for places in groups.values():
        if len(places) > 1 and any(lines[place].filled < lines[place].line.stems for place in places):
            _share_group(changed, places, shorted, crops)
    return tuple(changed)


def _share_group(
    lines: list[BucketLine], places: Sequence[int], shorted: frozenset[str], crops: Mapping[str, Crop]
) -> None:
    group = [lines[place] for place in places]
    product = group[0].line.product
    assert product is not None
    pool = _merged([source for bucket in group for source in bucket.sources if source.product == product])
    there, asked = sum(source.stems for source in pool), [bucket.line.stems for bucket in group]
    turns = sorted(range(len(group)), key=lambda one: (group[one].line.customer not in shorted, one))
    shares = even_share(there, asked, turns, crops[product.variety].bunch_stems)
    for place, bucket, share in zip(places, group, shares, strict=True):
        others = [source for source in bucket.sources if source.product != product]
        own = _dealt(pool, share.stems)
        others = _dealt(others, bucket.line.stems - share.stems)
        made = _bucket_line(bucket.line, [*own, *others], crops)
        lines[place] = _with_spare(replace(made, share=share), bucket.spare, bucket.spare_sources)


def _merged(sources: Sequence[Source]) -> list[Source]:
    """The sources with each lot once: a line that is dealt of a lot is sent it in one piece."""
    found: dict[tuple[str, int, Lot], Source] = {}
    for source in sources:
        same = (str(source.product), source.length_cm, source.lot)
        before = found[same].stems if same in found else 0
        found[same] = replace(source, stems=before + source.stems)
    return list(found.values())


def _dealt(pool: list[Source], stems: int) -> list[Source]:
    """So many stems off the front of a pool, which is left without them."""
    dealt: list[Source] = []
    while stems > 0 and pool:
        first = pool.pop(0)
        taken = min(stems, first.stems)
        dealt.append(replace(first, stems=taken))
        stems -= taken
        if first.stems > taken:
            pool.insert(0, replace(first, stems=first.stems - taken))
    return dealt


def _weekday(site: Site) -> str:
    return f"{date.fromisocalendar(2027, 1, site.bucket_day.iso):%A}"
