"""The bucket list as it is expected: what is theirs, what it may become, what can be settled, as the grower decides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta

from haulm.demand.dated_line import DatedLine
from haulm.errors import NotAccepted, NotFound
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.weeks import day_in_words
from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.bucket_lines import (
    AS_DRAFTED,
    BucketLine,
    BucketList,
    Choices,
    Delivery,
    DeliveryKey,
    LineDue,
    bucket_line,
    is_in_store,
    with_sources,
    with_spare,
)
from haulm.jobs.bucket_day.confirmed_lists import short_before
from haulm.jobs.bucket_day.keep_yours import kept_yours
from haulm.jobs.bucket_day.kept_shares import kept_evenly
from haulm.jobs.bucket_day.refusals import NotABucketDay
from haulm.jobs.bucket_day.share_list_evenly import Sharing, shared_evenly
from haulm.jobs.bucket_day.week_seasons import Decided, WeekSeasons, week_seasons
from haulm.jobs.desk.desk import Desk
from haulm.jobs.field.last_cuts import last_cut_day
from haulm.language.words import _
from haulm.matching.reading.which_stems import Source
from haulm.planning.plan import Plan

_YEARS = range(1900, 3000)


def draft_bucket_list(desk: Desk, day: date, choices: Choices = AS_DRAFTED) -> BucketList:
    """What is expected of the list of a bucket day, with the grower's choices.

    Kinds are decided first, by a match in which such a line accepts nothing else; then shares, then smaller numbers.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
        NotFound: a line or delivery is not expected on the list.
        NotAccepted: a line does not accept the kind, or is to get more than there is.
    """
    return draft_of(desk, desk.plan(), day, choices)


def draft_of(desk: Desk, plan: Plan, day: date, choices: Choices = AS_DRAFTED) -> BucketList:
    """What is expected of the list of a bucket day in a plan; refusals as `draft_bucket_list`."""
    last = last_day_of(plan.farm.site, day)
    own = [line for line in plan.result.lines if _is_on_list(line, day, last)]
    _check_known(own, choices)
    theirs = kept_yours(desk.store, day)
    seasons = week_seasons(plan, Decided(theirs, choices.kinds, choices.no_cut))
    spares = {(line.line, line.due): line for line in own if line.is_spare}
    lines = [_line(seasons, line, spares.get((line.line, line.due))) for line in own if not line.is_spare]
    lines = [_with_theirs(seasons, bucket, theirs) for bucket in lines]
    deliveries = _deliveries(seasons, lines)
    lines = _shared(desk, seasons, day, choices, lines)
    settling = {found.key for found in deliveries if found.can_settle}
    lines = [_from_store(bucket, plan.crops) if bucket.delivery in settling else bucket for bucket in lines]
    draft = BucketList(day, last, _by_customer(lines), deliveries)
    return _trimmed(draft, choices.trimmed, plan.crops)


def _shared(desk: Desk, seasons: WeekSeasons, day: date, choices: Choices, lines: list[BucketLine]) -> list[BucketLine]:
    """The lines with what the grower shares evenly; what was called theirs as a share before stays theirs."""
    kept, theirs = kept_evenly(desk.store, day), kept_yours(desk.store, day)
    evenly = kept if choices.evenly is None else choices.evenly
    if not evenly:
        return lines
    shares = {
        (line.line, line.due): stems
        for line in seasons.plan.result.lines
        if str(line.product) in kept and (stems := theirs.get((line.line, line.due)))
    }
    sharing = Sharing(evenly, short_before(desk, day), seasons.plan.crops, seasons.generous.sources, shares)
    apart = [bucket for bucket in lines if _is_filled_otherwise(bucket.line, choices.kinds)]
    together = [bucket for bucket in lines if bucket not in apart]
    return [*shared_evenly(together, sharing), *apart]


def last_day_of(site: Site, day: date) -> date:
    """The last day whose lines are on the list of a bucket day.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
        NotAccepted: its year is out of any plan.
    """
    if day.year not in _YEARS:
        accepted = _("a day of the years {first} to {last}").format(first=_YEARS[0], last=_YEARS[-1])
        raise NotAccepted(where=_("bucket list"), found=day_in_words(day), accepted=accepted)
    if day.isoweekday() != site.bucket_day.iso:
        raise NotABucketDay(found=day, accepted=site.bucket_day.full_name)
    return day + timedelta(days=6)


def not_on_list(line: str, due: date) -> NotFound:
    """The refusal of a line that a list does not have."""
    return NotFound(kind=_("line due {due} on this list").format(due=due), key=line)


def _by_customer(lines: Iterable[BucketLine]) -> tuple[BucketLine, ...]:
    return tuple(sorted(lines, key=lambda bucket: (bucket.line.customer, bucket.line.due, bucket.line.line)))


def _is_filled_otherwise(line: DatedLine, kinds: Mapping[LineDue, Product]) -> bool:
    """Whether the grower fills a line with a stand-in alone: it then asks for no share of its own product."""
    return kinds.get((line.line, line.due), line.product) != line.product


def _is_on_list(line: DatedLine, day: date, last: date) -> bool:
    return day <= line.due <= last and line.line_class is not LineClass.HOLD


def _check_known(own: Iterable[DatedLine], choices: Choices) -> None:
    known = {(line.line, line.due): line for line in own if not line.is_spare}
    for (line, due), kind in choices.kinds.items():
        if (line, due) not in known:
            raise not_on_list(line, due)
        _check_accepted(known[line, due], kind)
    orders = {(line.order, line.due) for line in known.values()}
    for order, due in sorted(choices.no_cut - orders):
        raise NotFound(kind=_("delivery of {due} that is expected on this list").format(due=due), key=order)


def _check_accepted(line: DatedLine, kind: Product) -> None:
    accepted = [str(product) for product in (line.product, *line.substitutes) if product is not None]
    if line.product is None or str(kind) not in accepted:
        said = _(" or ").join(accepted) if line.product is not None else _("no kind: it is the grower's choice")
        raise NotAccepted(
            where=_("kind for line '{line}' due {due}").format(line=line.line, due=line.due),
            found=f"'{kind}'",
            accepted=said,
        )


def _line(seasons: WeekSeasons, line: DatedLine, spare: DatedLine | None) -> BucketLine:
    made = bucket_line(line, seasons.sources(line), seasons.plan.crops)
    return made if spare is None else with_spare(made, spare.stems, seasons.sources(spare))


def _with_theirs(seasons: WeekSeasons, bucket: BucketLine, theirs: Mapping[LineDue, int]) -> BucketLine:
    """The line with what is theirs: never fewer than were called so before, unless these have become impossible."""
    line = bucket.line
    before = min(theirs.get((line.line, line.due), 0), line.stems)
    yours = max(bucket.filled, min(before, seasons.possible(line)))
    return replace(bucket, yours=yours, up_to=max(yours, seasons.up_to(line)))


def _deliveries(seasons: WeekSeasons, lines: Iterable[BucketLine]) -> tuple[Delivery, ...]:
    own: dict[DeliveryKey, list[BucketLine]] = {}
    for bucket in lines:
        own.setdefault(bucket.delivery, []).append(bucket)
    found = [_delivery(seasons, key, own[key]) for key in own]
    return tuple(sorted(found, key=lambda one: (one.due, one.customer, one.order)))


def _delivery(seasons: WeekSeasons, key: DeliveryKey, lines: list[BucketLine]) -> Delivery:
    days = {bucket.line: last_cut_day(seasons.plan, bucket.line) for bucket in lines}
    last = max((day for day in days.values() if day is not None), default=None)
    ready = all(_is_ready(seasons, bucket, days[bucket.line]) for bucket in lines)
    return Delivery(*key, lines[0].line.customer, last, ready)


def _is_ready(seasons: WeekSeasons, bucket: BucketLine, last: date | None) -> bool:
    """Whether nothing more has to be cut for a line: its last cut is made, or stock that was never of a cut fills it.

    Stems that were cut for others are none of it: what is best cut later is settled at its own cut.
    """
    if last is None or bucket.line in seasons.cut:
        return True
    stock = {known.key for known in seasons.plan.farm.known_stems}
    from_stock = all(is_in_store(source) and source.lot.key in stock for source in bucket.sources)
    return from_stock and bucket.filled == bucket.line.stems


def _from_store(bucket: BucketLine, crops: Mapping[str, Crop]) -> BucketLine:
    """The line with what is in the store: stems that still stand are packed by nobody."""
    spare: tuple[Source, ...] = tuple(filter(is_in_store, bucket.spare_sources))
    made = with_sources(bucket, tuple(filter(is_in_store, bucket.sources)), crops)
    return with_spare(made, bucket.spare, spare)


def _trimmed(draft: BucketList, trimmed: Mapping[LineDue, int], crops: Mapping[str, Crop]) -> BucketList:
    known = {(bucket.line.line, bucket.line.due): bucket for bucket in draft.lines}
    for (line, due), stems in trimmed.items():
        if (line, due) not in known:
            raise not_on_list(line, due)
        if not 0 <= stems <= known[line, due].filled:
            accepted = _("0 to {filled} stems, what there is for it").format(filled=known[line, due].filled)
            raise NotAccepted(
                where=_("line '{line}' due {due}").format(line=line, due=due), found=str(stems), accepted=accepted
            )
    lines = tuple(
        _cut_down(bucket, trimmed[key], crops) if (key := (bucket.line.line, bucket.line.due)) in trimmed else bucket
        for bucket in draft.lines
    )
    return replace(draft, lines=lines)


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
    return with_spare(with_sources(bucket, kept, crops), bucket.spare, ())
