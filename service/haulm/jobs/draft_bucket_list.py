"""Monday's bucket list as the match would fill it in a careful season, and as the grower then decides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from haulm.demand.dated_line import DatedLine
from haulm.errors import NotAccepted, NotFound
from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.words import LineClass
from haulm.jobs.bucket_lines import BucketLine, BucketList, Choices, LineDue, bucket_line, with_spare
from haulm.jobs.confirmed_lists import short_before
from haulm.jobs.desk import Desk
from haulm.jobs.refusals import NotABucketDay
from haulm.jobs.share_list_evenly import shared_evenly
from haulm.matching.which_stems import Source
from haulm.planning.plan import Plan


def draft_bucket_list(desk: Desk, day: date) -> BucketList:
    """The list of a bucket day as the match would fill it today.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
    """
    return _draft(desk.plan(), day, {})


def chosen_bucket_list(desk: Desk, day: date, choices: Choices) -> BucketList:
    """The list of a bucket day with the grower's choices, before it is confirmed; refusals as `chosen_of`."""
    return chosen_of(desk, desk.plan(), day, choices)


def chosen_of(desk: Desk, plan: Plan, day: date, choices: Choices) -> BucketList:
    """The list of a bucket day in a plan, with the grower's choices.

    Kinds are decided first, by a match in which such a line accepts nothing else; then shares, then smaller numbers.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
        NotFound: a line is not on the list.
        NotAccepted: a line does not accept the kind, or is to get more than there is.
    """
    draft = _draft(plan, day, choices.kinds)
    if choices.evenly:
        apart = [bucket for bucket in draft.lines if _is_filled_otherwise(bucket.line, choices.kinds)]
        lines = tuple(bucket for bucket in draft.lines if bucket not in apart)
        shared = shared_evenly(lines, choices.evenly, short_before(desk, day), plan.crops)
        draft = BucketList(draft.day, draft.last, _by_customer([*shared, *apart]))
    return _trimmed(draft, choices.trimmed, plan.crops)


def _draft(plan: Plan, day: date, kinds: Mapping[LineDue, Product]) -> BucketList:
    site = plan.farm.site
    if day.isoweekday() != site.bucket_day.iso:
        raise NotABucketDay(found=day, accepted=_weekday(site))
    last = day + timedelta(days=6)
    on_list = {place: line for place, line in enumerate(plan.result.lines) if _is_on_list(line, day, last)}
    sources = _sources(plan, on_list, kinds)
    spares = {(line.line, line.due): place for place, line in on_list.items() if line.is_spare}
    lines: list[BucketLine] = []
    for place, line in on_list.items():
        if not line.is_spare:
            made = bucket_line(line, sources[place], plan.crops)
            spare = spares.get((line.line, line.due))
            lines.append(made if spare is None else with_spare(made, on_list[spare].stems, sources[spare]))
    return BucketList(day, last, _by_customer(lines))


def _by_customer(lines: Iterable[BucketLine]) -> tuple[BucketLine, ...]:
    return tuple(sorted(lines, key=lambda bucket: (bucket.line.customer, bucket.line.due, bucket.line.line)))


def _is_filled_otherwise(line: DatedLine, kinds: Mapping[LineDue, Product]) -> bool:
    """Whether the grower fills a line with a stand-in alone: it then asks for no share of its own product."""
    return kinds.get((line.line, line.due), line.product) != line.product


def _is_on_list(line: DatedLine, day: date, last: date) -> bool:
    return day <= line.due <= last and line.line_class is not LineClass.HOLD


def _sources(
    plan: Plan, on_list: Mapping[int, DatedLine], kinds: Mapping[LineDue, Product]
) -> Sequence[tuple[Source, ...]]:
    """What fills each line of the plan, by its place."""
    if not kinds:
        return plan.careful.sources
    known = {(line.line, line.due): line for line in on_list.values()}
    for (line, due), kind in kinds.items():
        if (line, due) not in known:
            raise not_on_list(line, due)
        _check_accepted(known[line, due], kind)
    turned = {
        line: replace(line, product=kinds[line.line, line.due], substitutes=())
        for line in on_list.values()
        if (line.line, line.due) in kinds
    }
    return plan.careful_with(turned).sources


def _check_accepted(line: DatedLine, kind: Product) -> None:
    accepted = [str(product) for product in (line.product, *line.substitutes) if product is not None]
    if line.product is None or str(kind) not in accepted:
        said = " or ".join(accepted) if line.product is not None else "no kind: it is the grower's choice"
        raise NotAccepted(where=f"kind for line '{line.line}' due {line.due}", found=f"'{kind}'", accepted=said)


def _trimmed(draft: BucketList, trimmed: Mapping[LineDue, int], crops: Mapping[str, Crop]) -> BucketList:
    known = {(bucket.line.line, bucket.line.due): bucket for bucket in draft.lines}
    for (line, due), stems in trimmed.items():
        if (line, due) not in known:
            raise not_on_list(line, due)
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
    return with_spare(bucket_line(bucket.line, kept, crops), bucket.spare, ())


def not_on_list(line: str, due: date) -> NotFound:
    """The refusal of a line that a list does not have."""
    return NotFound(kind=f"line due {due} on this list", key=line)


def _weekday(site: Site) -> str:
    return f"{date.fromisocalendar(2027, 1, site.bucket_day.iso):%A}"
