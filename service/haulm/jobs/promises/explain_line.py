"""Why a line is not surer: its seasons of ten, the causes; in one season the stems that count and who holds them.

The certificate adds up by hand: of each pool, the stems that count are what the line could have and what is held.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from haulm.advice.asked_words import asked_in_words
from haulm.advice.shortfalls import LineOutlook, asked_of
from haulm.demand.dated_line import DatedLine
from haulm.errors import NotFound
from haulm.farm.products import Product
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _, one_or_more
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.causes import Unsure
from haulm.matching.reading.faces import Faces
from haulm.matching.reading.why import AtLimit, Shortage, UsedUp, why
from haulm.matching.supply import Lot
from haulm.planning.doubt_explained import DoubtExplained, doubt_of_line
from haulm.planning.plan import Plan
from haulm.planning.why_unsure import faces_of, unsure


class SeasonShown(StrEnum):
    """The single seasons in which a line can be explained."""

    EXPECTED = "expected"
    CAREFUL = "careful"


@dataclass(frozen=True, slots=True)
class LotCounted:
    """Stems of one lot."""

    lot: Lot
    stems: int


@dataclass(frozen=True, slots=True)
class Holder:
    """An earlier line and the stems of a pool that it holds."""

    line: DatedLine
    stems: int


@dataclass(frozen=True, slots=True)
class PoolUsedUp:
    """A product in one length class that gave all it could.

    Attributes:
        product, length_cm: the pool; 0 cm where the length is not stated.
        lots: the lots that count: those the line could use, and those that their holders could move to.
        stems: stems in these lots; `could_have` and what the holders hold add up to it.
        could_have: the most of them that the line could have.
        holders: the earlier lines that hold the rest, in the strict order.
    """

    product: Product
    length_cm: int
    lots: tuple[LotCounted, ...]
    stems: int
    could_have: int
    holders: tuple[Holder, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """What a line asks and gets in one season, and where the rest is.

    Attributes:
        outlook: the line, how sure it is over all seasons and what it lacks on average.
        season: the season explained.
        filled, missing: stems it gets and lacks in that season; they add up to what it asks.
        could_have: what it could have over all pools; it gets none where that is below its minimum.
        below_minimum: whether it is.
        pools: the pools that are used up, in the order in which it takes from them; not those that are empty for it.
        at_limit: pools of which it takes no more by its own rule, and what it takes.
        doubt: what the stems that it may take from the field are unsure for.
        asked: what it asks, in words.
        plan: the plan it is a line of.
    """

    outlook: LineOutlook
    season: SeasonShown
    filled: int
    missing: int
    could_have: int
    below_minimum: bool
    pools: tuple[PoolUsedUp, ...]
    at_limit: tuple[AtLimit, ...]
    doubt: DoubtExplained
    asked: str
    plan: Plan

    @property
    def unsure(self) -> Unsure:
        """How it fares over the seasons, and why it is no surer."""
        return unsure(self.plan, (self.line,))

    @property
    def delivery(self) -> Faces:
        """How all lines of its order due that day fare together."""
        lines = self.plan.lines_of(self.line.order)
        return faces_of(self.plan, [other for other in lines if other.due == self.line.due])

    @property
    def line(self) -> DatedLine:
        """The line explained."""
        return self.outlook.line

    @property
    def sentence(self) -> str:
        """The explanation in words."""
        return _sentence(self)


def explain_line(desk: Desk, key: str, due: date, season: SeasonShown = SeasonShown.EXPECTED) -> Explanation:
    """Why a line (not its spare) lacks stems in a season; nothing missing and no pools where it is filled.

    Raises:
        NotFound: no line with that key is due on that day.
    """
    plan = desk.plan()
    one = plan.expected if season is SeasonShown.EXPECTED else plan.careful
    for place, line in enumerate(one.result.lines):
        if (line.line, line.due, line.is_spare) == (key, due, False):
            return _explained(plan, one.result, why(one.result, place), season)
    raise NotFound(kind=_("line due {due}").format(due=due), key=key)


def _explained(plan: Plan, result: MatchResult, shortage: Shortage, season: SeasonShown) -> Explanation:
    line = result.lines[shortage.line]
    return Explanation(
        outlook=plan.outlook_of(line),
        season=season,
        filled=line.stems - shortage.missing,
        missing=shortage.missing,
        could_have=shortage.could_have,
        below_minimum=shortage.below_minimum,
        pools=tuple(_pool(result, found) for found in shortage.used_up if found.stems),
        at_limit=shortage.at_limit,
        doubt=doubt_of_line(plan, line),
        asked=asked_in_words(asked_of(line), plan.crops),
        plan=plan,
    )


def _pool(result: MatchResult, found: UsedUp) -> PoolUsedUp:
    return PoolUsedUp(
        product=found.product,
        length_cm=found.length_cm,
        lots=tuple(LotCounted(lot, stems) for lot, stems in zip(found.lots, found.lot_stems, strict=True)),
        stems=found.stems,
        could_have=found.could_have,
        holders=tuple(Holder(result.lines[held.line], held.stems) for held in found.held),
    )


def _sentence(found: Explanation) -> str:
    line = found.line
    asks = _("In the {season} season it asks {stems} {asked} for {due}").format(
        season=found.season, stems=line.stems, asked=found.asked, due=day_in_words(line.due)
    )
    if found.missing == 0:
        return _("{asks} and gets them all.").format(asks=asks)
    gets = _("{asks}, gets {filled} and lacks {missing}").format(asks=asks, filled=found.filled, missing=found.missing)
    if found.below_minimum:
        gets += _(": the {could_have} it could have are fewer than the {minimum} worth sending").format(
            could_have=found.could_have, minimum=line.minimum
        )
    count = sum(pool.stems for pool in found.pools)
    held = count - sum(pool.could_have for pool in found.pools)
    if count == 0:
        return _("{gets}. Nothing that it accepts is there for that day.").format(gets=gets)
    holders = {holder.line for pool in found.pools for holder in pool.holders}
    by = one_or_more("{holders} earlier line", "{holders} earlier lines", len(holders)).format(holders=len(holders))
    taken = _("{held} are held by {by}").format(held=held, by=by) if held else _("nobody before it holds any")
    return _("{gets}. Of the {count} stems that count it could have {left}; {taken}.").format(
        gets=gets, count=count, left=count - held, taken=taken
    )
