"""The cut list of a cut day: what to cut, how many, from which beds, and for whom.

As sure as the week's list calls stems theirs, and up to as many as that list says it may become: whoever stands before
the bed cuts what is asked and stands, however careful the forecast was.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.demand.dated_line import DatedLine
from haulm.demand.precedence import demand
from haulm.errors import NotAccepted
from haulm.farm.batches import Batch
from haulm.farm.products import Product
from haulm.farm.sprays import ClosedBed, closed_beds
from haulm.farm.varieties import Crop
from haulm.farm.weeks import cut_days_for, day_in_words, next_of
from haulm.farm.words import Form, LineClass
from haulm.jobs.bucket_day.confirmed_lists import CONFIRMED, CORRECTED, lines_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.stems_in_store import stems_cut
from haulm.language.words import _
from haulm.matching.reading.which_stems import Source
from haulm.planning.plan import Plan
from haulm.store.words import Account

_Wanted = tuple[DatedLine, Product, int, int]
"""A line, a product, the stems of it to cut in a careful season, and in a generous one."""
_LAST_WALK = 10_000


@dataclass(frozen=True, slots=True)
class ForWhom:
    """Stems of a row for one line, and up to how many; spare is marked, it is the first to be left standing."""

    line: DatedLine
    stems: int
    up_to: int


@dataclass(frozen=True, slots=True)
class CutRow:
    """One product, length class and stage to cut.

    Attributes:
        product: what.
        crop: its kind.
        length_cm: the least length asked; 0 where none is.
        stage: the stage asked, or None.
        stems: how many to cut in a careful season, spare included.
        up_to: how many are to be cut where they stand: in a generous season, no fewer.
        beds: where it stands, in the order of walking, with the batches in each; closed beds are left out.
        for_whom: the lines they are for, by due date.
    """

    product: Product
    crop: Crop
    length_cm: int
    stage: str | None
    stems: int
    up_to: int
    beds: tuple[tuple[str, tuple[str, ...]], ...]
    for_whom: tuple[ForWhom, ...]


@dataclass(frozen=True, slots=True)
class CutList:
    """What to cut on a day; `closed` beds are inside a spray's waiting time and are not walked."""

    day: date
    rows: tuple[CutRow, ...]
    closed: tuple[ClosedBed, ...]

    @property
    def closed_beds(self) -> tuple[str, ...]:
        """The names of the closed beds."""
        return tuple(one.bed.name for one in self.closed)


def cut_list(desk: Desk, day: date) -> CutList:
    """The cut list of one of the farm's cut days, today or later.

    Stems are cut as late as their line allows, so that they are as fresh as can be.

    Raises:
        NotAccepted: the day is not a cut day, or has passed.
    """
    plan = desk.plan()
    site = plan.farm.site
    if day < plan.today or day.isoweekday() not in site.cut_weekdays:
        accepted = _("a {cut_days} from {today} on").format(cut_days=_(" or ").join(site.cut_days), today=plan.today)
        raise NotAccepted(where=_("cut list"), found=f"{day_in_words(day)}", accepted=accepted)
    wanted: dict[tuple[Product, int, str | None], list[ForWhom]] = {}
    for line, product, stems, up_to in (*_to_be_given(plan, day), *_packed_uncut(desk, plan, day)):
        wanted.setdefault((product, line.min_length_cm, line.stage), []).append(ForWhom(line, stems, up_to))
    closed = closed_beds(plan.farm, day)
    keys = frozenset(one.bed.key for one in closed)
    rows = [_row(plan, key, found, keys) for key, found in wanted.items()]
    place = _places(plan)
    rows.sort(
        key=lambda row: (min((place.get(bed, 0) for bed, _ in row.beds), default=0), str(row.product), row.length_cm)
    )
    return CutList(day, tuple(rows), closed)


def _to_be_given(plan: Plan, day: date) -> Iterator[_Wanted]:
    """Stems that the match gives from the field, and that are best cut on a day."""
    for line, careful, generous in zip(plan.result.lines, plan.careful.sources, plan.generous.sources, strict=True):
        surely, at_most = (_best_cut_on(plan, line, sources, day) for sources in (careful, generous))
        for product in dict.fromkeys((*surely, *at_most)) if line.line_class is not LineClass.HOLD else ():
            yield line, product, surely[product], max(surely[product], at_most[product])


def _best_cut_on(plan: Plan, line: DatedLine, sources: Iterable[Source], day: date) -> Counter[Product]:
    """Standing stems of a line that are best cut on a day, by product."""
    found = Counter[Product]()
    for source in sources:
        is_standing = source.lot.cut is None and source.product.form is Form.FRESH
        if is_standing and _last_cut_day(plan, line, source.product, source.lot.ready) == day:
            found[source.product] += source.stems
    return found


def _packed_uncut(desk: Desk, plan: Plan, day: date) -> Iterator[_Wanted]:
    """Stems of confirmed lists that still stand: best cut on a day, or to be cut at once where that day has passed.

    What was cut since comes off the lines that leave first; what a correction gave back to the field is not to be cut.
    """
    lines = {(line.line, line.due.isoformat(), line.is_spare): line for line in demand(plan.farm, plan.today)}
    cut = Counter[str]()
    for pile, found in stems_cut(plan.farm, desk.store.stem_balances()).items():
        cut[str(pile.product)] += found.cut - found.left
    for due, key, is_spare, source in sorted(_standing_sources(desk), key=lambda one: one[:3]):
        stems = source["stems"]
        if source["stock"] is None:
            done = min(stems, cut[source["product"]])
            cut[source["product"]] -= done
            stems -= done
        line = lines.get((key, due, is_spare))
        if line is None or not stems:
            continue
        product, ready = Product.parse(source["product"]), date.fromisoformat(source["ready_date"])
        best = _last_cut_day(plan, line, product, ready)
        if best == day or (best is None and day == next_of(plan.today, plan.farm.site.cut_days)):
            yield line, product, stems, stems


def _standing_sources(desk: Desk) -> Iterator[tuple[str, str, bool, Mapping[str, Any]]]:
    """The fresh stems of all confirmed lists that stood in the field then: due day, line, whether spare, and source."""
    back = Counter[tuple[str, str]]()
    for entry in desk.store.entries_of(CORRECTED):
        to_field = [item["stems"] for item in entry.body.get("stems", ()) if item["account_to"] == Account.FIELD]
        back[entry.facts["line"], entry.facts["due"]] += sum(to_field)
    for entry in desk.store.entries_of(CONFIRMED):
        for line in lines_of(entry.facts):
            given_back = back[line["line"], line["due"]]
            sources = [(True, source) for source in reversed(line["spare_from"])]
            sources += [(False, source) for source in reversed(line["from"])]
            for is_spare, source in sources:
                if source["cut_date"] is not None or Product.parse(source["product"]).form is not Form.FRESH:
                    continue
                stems = source["stems"] - given_back
                given_back = max(0, -stems)
                if stems > 0:
                    yield line["due"], line["line"], is_spare, {**source, "stems": stems}


def _last_cut_day(plan: Plan, line: DatedLine, product: Product, ready: date) -> date | None:
    """The last cut day on which stems of a ready date stand and still come to drink in time for a line."""
    crop, site = plan.crops[product.variety], plan.farm.site
    hold = crop.hold_days if line.max_age_days is None else min(crop.hold_days, line.max_age_days)
    days = cut_days_for(
        line.due,
        weekdays=site.cut_weekdays,
        hold_days=hold,
        condition_days=site.condition_days,
        today=plan.today,
    )
    return max((day for day in days if (day - ready).days in crop.field_life.ages()), default=None)


def _row(plan: Plan, key: tuple[Product, int, str | None], found: list[ForWhom], closed: frozenset[str]) -> CutRow:
    product, length, stage = key
    merged: dict[tuple[str, date, bool], ForWhom] = {}
    for one in found:
        name = (one.line.line, one.line.due, one.line.is_spare)
        before = merged.get(name, ForWhom(one.line, 0, 0))
        merged[name] = ForWhom(one.line, before.stems + one.stems, before.up_to + one.up_to)
    ordered = tuple(sorted(merged.values(), key=lambda one: (one.line.due, one.line.customer, one.line.line)))
    stems, up_to = sum(one.stems for one in ordered), sum(one.up_to for one in ordered)
    beds = _beds(plan, product, closed)
    return CutRow(product, plan.crops[product.variety], length, stage, stems, up_to, beds, ordered)


def _beds(plan: Plan, product: Product, closed: frozenset[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    place = _places(plan)
    names = {bed.key: bed.name for bed in plan.farm.beds}
    by_bed: dict[str, list[str]] = {}
    batches: list[Batch] = sorted(plan.growth.seen.batches, key=lambda batch: (batch.sow_date or date.min, batch.key))
    for batch in batches:
        ready = batch.variety == product.variety and batch.form is Form.FRESH and batch.is_in_the_ground
        if ready and batch.bed not in closed:
            by_bed.setdefault(names.get(batch.bed or "", ""), []).append(batch.key)
    return tuple((bed, tuple(by_bed[bed])) for bed in sorted(by_bed, key=lambda bed: (place.get(bed, _LAST_WALK), bed)))


def _places(plan: Plan) -> dict[str, int]:
    return {bed.name: bed.walk if bed.walk is not None else _LAST_WALK for bed in plan.farm.beds}
