"""The two seasons of a bucket list: a careful one, which says what is theirs, and a generous one, what it may become.

Each is a match of all lines in one season, so no two lines count on the same stem. Lines whose last cut is made take
part with the cut stems alone, and what was called theirs before comes first in both.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.words import LineClass
from haulm.jobs.bucket_day.bucket_lines import DeliveryKey, LineDue, merged
from haulm.jobs.field.last_cuts import cuts_made, is_recorded, last_cut_day
from haulm.matching.reading.which_stems import Source
from haulm.planning.plan import GENEROUS_SHARE, OneSeason, Plan

_BEFORE_ALL = len(LineClass)
"""By how many ranks stems that were called theirs come before their class: before every other, in the same order."""


@dataclass(frozen=True, slots=True)
class Decided:
    """What a draft rests on beside the farm: what was called theirs, kinds that fill lines, deliveries left uncut."""

    theirs: Mapping[LineDue, int]
    kinds: Mapping[LineDue, Product]
    no_cut: frozenset[DeliveryKey]


@dataclass(frozen=True, eq=False)
class Season:
    """The match in one season, and what stands in the place of a line in it, where it isn't the line itself."""

    match: OneSeason
    asked: Mapping[DatedLine, tuple[DatedLine, ...]]

    def sources(self, line: DatedLine) -> tuple[Source, ...]:
        """What fills a line."""
        places = self.match.result.places
        parts = self.asked.get(line, (line,))
        return tuple(merged([source for part in parts for source in self.match.sources[places[part]]]))


@dataclass(frozen=True, eq=False)
class WeekSeasons:
    """The careful and the generous season of a plan.

    Attributes:
        plan: the plan.
        cut: lines whose last cut is recorded, or for which none is made by the grower's word.
    """

    plan: Plan
    cut: frozenset[DatedLine]
    careful: Season
    generous: Season

    def sources(self, line: DatedLine) -> tuple[Source, ...]:
        """What fills a line in the careful season."""
        return self.careful.sources(line)

    def up_to(self, line: DatedLine) -> int:
        """The stems of a line in the generous season."""
        return sum(source.stems for source in self.generous.sources(line))

    def possible(self, line: DatedLine) -> int:
        """The most stems a line gets in any season; once its cut is made, what the cut stems give."""
        most = self.up_to(line)
        return (
            most if line in self.cut else max(most, int(self.plan.result.filled(self.plan.result.places[line]).max()))
        )


def week_seasons(plan: Plan, decided: Decided) -> WeekSeasons:
    """Both seasons of a plan, with what was decided."""
    cut = _cut_lines(plan, decided.no_cut)
    asked = {line: found for line in plan.result.lines if (found := _asked(line, decided, cut)) != (line,)}
    return WeekSeasons(
        plan, cut, _season(plan, plan.farm.site.careful_share, asked, cut), _season(plan, GENEROUS_SHARE, asked, cut)
    )


def _season(
    plan: Plan, share: float, asked: Mapping[DatedLine, tuple[DatedLine, ...]], cut: frozenset[DatedLine]
) -> Season:
    """The match in the season of one quantile.

    Once stems were cut for some lines, the others take what still stands before they take of the store: which stems
    they get changes nothing for them, and whose last cut is made has no other.
    """
    if cut:
        fielded = {
            line: tuple(replace(part, standing_only=True) for part in asked.get(line, (line,)))
            for line in _dividing(plan, cut)
        }
        first = plan.season_with(share, {**asked, **fielded}).result
        divided = {
            line: tuple(part for one in parts for part in _divided(one, int(first.filled(first.places[one])[0])))
            for line, parts in fielded.items()
        }
        asked = {**asked, **divided}
    return Season(plan.season_with(share, asked), asked)


def _dividing(plan: Plan, cut: frozenset[DatedLine]) -> Iterator[DatedLine]:
    """The lines that may still be cut for and could take of what was cut for others."""
    longest = max(crop.hold_days for crop in plan.crops.values())
    for line in plan.result.lines:
        is_near = (line.due - plan.today).days <= longest
        if is_near and line not in cut and line.choice is None and not line.minimum:
            yield line


def _divided(part: DatedLine, standing: int) -> tuple[DatedLine, ...]:
    """A part of a line that asks for standing stems, as many as there are for it, and the rest of it for any."""
    rest = replace(part, standing_only=False)
    if not standing:
        return (rest,)
    first = replace(part, stems=standing)
    return (first,) if standing == part.stems else (first, replace(rest, stems=part.stems - standing))


def _cut_lines(plan: Plan, no_cut: frozenset[DeliveryKey]) -> frozenset[DatedLine]:
    made = cuts_made(plan)
    found: set[DatedLine] = set()
    recorded: dict[tuple[str, object], bool] = {}
    longest = max((crop.hold_days for crop in plan.crops.values()), default=0)
    for line in plan.result.lines:
        if (line.order, line.due) in no_cut:
            found.add(line)
        elif line.line_class is not LineClass.HOLD and (line.due - plan.today).days <= longest:
            key = (line.line, line.due)
            if key not in recorded:
                last = last_cut_day(plan, line)
                recorded[key] = last is not None and last <= plan.today and is_recorded(plan, line, last, made)
            if recorded[key]:
                found.add(line)
    return frozenset(found)


def _asked(line: DatedLine, decided: Decided, cut: frozenset[DatedLine]) -> tuple[DatedLine, ...]:
    """What stands in the place of a line: of the kind decided, of cut stems alone, in two parts where some are theirs.

    A choice stays whole, since its parts would be held to its limit of one kind each by itself.
    """
    key = (line.line, line.due)
    asked = replace(line, cut_only=True) if line in cut else line
    if key in decided.kinds:
        return (replace(asked, product=decided.kinds[key], substitutes=()),)
    theirs = 0 if line.is_spare or line.choice is not None else min(decided.theirs.get(key, 0), line.stems)
    if not theirs:
        return (asked,)
    first = replace(asked, class_rank=line.class_rank - _BEFORE_ALL, stems=theirs, minimum=min(line.minimum, theirs))
    return (first,) if theirs == line.stems else (first, replace(asked, stems=line.stems - theirs, minimum=0))
