"""The answers for one version of the farm on one day: who gets which stems, how sure, what is free, what is short."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from weakref import ReferenceType, ref

import numpy as np

from haulm.advice.acceptance import Moment
from haulm.advice.floors import sureness
from haulm.advice.options.option import Option
from haulm.advice.resow import Resow
from haulm.advice.room import Room
from haulm.advice.shortfalls import Gap, LineOutlook
from haulm.demand.dated_line import DatedLine
from haulm.demand.standing import delivery_days
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.usual_sales import UsualSale
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week
from haulm.kept import Kept
from haulm.matching.allocation.candidates import most_each
from haulm.matching.allocation.match import match
from haulm.matching.allocation.result import MatchResult
from haulm.matching.reading.causes import Unsure
from haulm.matching.reading.confidence import confidence, expected_missing
from haulm.matching.reading.free_to_promise import free_for_line, still_free
from haulm.matching.reading.which_stems import Source, sources
from haulm.matching.supply import IntArray, Supply
from haulm.matching.windows import window_of
from haulm.planning.free_by_week import FreeAsked, FreeWeek, FreeWeeksKept, free_by_week
from haulm.planning.growth import Growth
from haulm.planning.left_over import WeekLeft, left_by_week
from haulm.planning.outlooks import Delivery, Outlooks, outlooks_of
from haulm.planning.ready_by_week import WEEKS_AHEAD, TypicalKept, TypicalOfProduct, typical_products
from haulm.planning.season_picture import (
    KindStemsKept,
    SeasonAsked,
    SeasonPicture,
    WeekFigures,
    colour_weeks,
    kind_weeks,
    season_picture,
)
from haulm.planning.settled import Settled
from haulm.planning.stays import Stood, room_in
from haulm.planning.thin_tray import ThinTray
from haulm.planning.usual_figures import HopedSowing, UsualFigures

_GAPS_KEPT, _LEVELS_KEPT, _DOUBTS_KEPT, _ORDERS_KEPT, _TRAYS_KEPT = 1024, 8, 1024, 4, 64
GENEROUS_SHARE = 0.8
"""The share of seasons that give less than a line may become."""


@dataclass(frozen=True, eq=False)
class OneSeason:
    """The match in one single season, with the stems that feed each line."""

    result: MatchResult
    sources: tuple[tuple[Source, ...], ...]


@dataclass(frozen=True)
class KeptOfProducts:
    """What was worked out of products, from one version of a farm to the next: a record changes that of one."""

    picture: KindStemsKept = field(default_factory=KindStemsKept)
    typical: TypicalKept = field(default_factory=TypicalKept)
    free: FreeWeeksKept = field(default_factory=FreeWeeksKept)
    resown: Kept[Hashable, Resow] = field(default_factory=lambda: Kept(_TRAYS_KEPT))


@dataclass(frozen=True, eq=False)
class Plan:
    """All answers for one farm value and day; each is worked out once, when first asked.

    Attributes:
        farm: the farm.
        today: the day it is looked at.
        growth: what the batches may give, over the seasons.
        result: the match over the seasons.
        settled: lines and stems that are done with.
        like: another plan, whose outlooks are used as long as it is there.
        remembered_options: the options of gaps, by the gap.
        remembered_order_sowings: what is sown for an order, by its lines and the level of all of them.
        remembered_trays: the trays to look at, by the level of a new sowing.
        remembered_doubts: how lines fare together and why they are no surer, by the lines.
        remembered_usual: what is said of usual sales, by the rows of them.
        remembered_sowings: the sowings that usual sales would pay for, by the rows of them.
        of_products: the weeks of kinds, by all that they rest on; one like another shares its own.
    """

    farm: Farm
    today: date
    growth: Growth
    result: MatchResult
    settled: Settled
    like: ReferenceType[Plan] | None = None
    remembered_options: Kept[Gap, tuple[Option, ...]] = field(default_factory=lambda: Kept(_GAPS_KEPT))
    remembered_order_sowings: Kept[tuple[tuple[DatedLine, ...], float], Option | None] = field(
        default_factory=lambda: Kept(_ORDERS_KEPT)
    )
    remembered_trays: Kept[float, tuple[ThinTray, ...]] = field(default_factory=lambda: Kept(_LEVELS_KEPT))
    remembered_doubts: Kept[tuple[DatedLine, ...], Unsure] = field(default_factory=lambda: Kept(_DOUBTS_KEPT))
    remembered_usual: Kept[tuple[UsualSale, ...], UsualFigures] = field(default_factory=lambda: Kept(1))
    remembered_sowings: Kept[tuple[UsualSale, ...], tuple[HopedSowing, ...]] = field(default_factory=lambda: Kept(1))
    of_products: KeptOfProducts = field(default_factory=KeptOfProducts)

    def of_version(self, farm: Farm) -> Plan:
        """The same answers for a later version in which nothing has changed that they rest on."""
        return replace(self, farm=farm, like=ref(self))

    @property
    def crops(self) -> Mapping[str, Crop]:
        """Every variety with its defaults filled in, by key."""
        return self.growth.crops

    @property
    def outlooks(self) -> tuple[LineOutlook, ...]:
        """Each line's confidence over the seasons, in the strict order."""
        return self._over_seasons.lines

    @cached_property
    def _over_seasons(self) -> Outlooks:
        known = None if self.like is None else self.like()
        return outlooks_of(self.result, None if known is None else known._over_seasons)

    @cached_property
    def room(self) -> Room:
        """The beds and benches, and what stands on them from when to when."""
        known = None if self.like is None else self.like()
        # A trial that only adds sowings reads the same of the farm: what stands in its beds is the same.
        if known is not None and known.growth.seen is self.growth.seen and known.farm.beds == self.farm.beds:
            return known.room
        return room_in(self.farm, self.growth, None if known is None else Stood(known.growth, known.room.last_stem))

    @cached_property
    def moment(self) -> Moment:
        """What a promise is judged by: every line's outlook, and how sure everything promised is."""
        whole = {(found.order, found.due): found for found in self.deliveries(None)}

        def joint(lines: tuple[DatedLine, ...]) -> float:
            delivery = whole[lines[0].order, lines[0].due]
            if len(lines) == delivery.lines:
                return delivery.joint_confidence
            return self.joint_of(self.result.places[line] for line in lines)

        return Moment(self.outlooks, sureness(self.outlooks, joint))

    def deliveries(self, level: float | None) -> tuple[Delivery, ...]:
        """What each order is due on each day, by due date; its spare is no part of it."""
        return self._over_seasons.deliveries(level)

    def unlike(self, other: Plan, level: float | None) -> tuple[list[LineOutlook], list[Delivery]]:
        """The lines and, at a level, the deliveries of which another plan does not say the same of the same takes."""
        return self._over_seasons.unlike(other._over_seasons, level)

    def joint_of(self, places: Iterable[int]) -> float:
        """Weight of the seasons in which all these lines are filled, 0-1; places in the strict order."""
        return self._over_seasons.joint_of(places)

    def outlook_of(self, line: DatedLine) -> LineOutlook:
        """The confidence of one line over the seasons, and the stems it lacks on average."""
        place = self.result.places[line]
        return LineOutlook(line, confidence(self.result, place), expected_missing(self.result, place))

    def missing(self, line: DatedLine) -> IntArray:
        """Stems a line lacks in each season, shape (seasons,)."""
        return np.asarray(line.stems - self.result.filled(self.result.places[line]), np.int32)

    @cached_property
    def expected(self) -> OneSeason:
        """The match in the expected season: the weighted median of cumulative ready stems, plus known stems."""
        return self._one_season(self.growth.quantile_supply(0.5))

    @cached_property
    def careful(self) -> OneSeason:
        """The match in a season as careful as the farm's list of the week (`careful_share`), plus known stems."""
        return self._one_season(self.growth.quantile_supply(self.farm.site.careful_share))

    @cached_property
    def generous(self) -> OneSeason:
        """The match in a generous season: four seasons in five have given less by any day, plus known stems."""
        return self._one_season(self.growth.quantile_supply(GENEROUS_SHARE))

    def season_with(self, share: float, others: Mapping[DatedLine, Sequence[DatedLine]]) -> OneSeason:
        """The match in the season of one quantile, with some lines asking otherwise; known stems count in full.

        Args:
            share: the share of seasons that give less by any day, 0-1.
            others: what stands in the place of a line: one or several lines.
        """
        lines = [asked for line in self.result.lines for asked in others.get(line, (line,))]
        result = match(lines, self.growth.quantile_supply(share), self.result.keeping)
        return OneSeason(result, sources(result))

    @cached_property
    def left_by_week(self) -> tuple[WeekLeft, ...]:
        """Fresh stems left over for the stall or for drying, by product and week of the coming year."""
        return left_by_week(self.result, self.today)

    @cached_property
    def typical_products(self) -> tuple[TypicalOfProduct, ...]:
        """A poor, a middling and a good season of each fresh product in the coming year."""
        return typical_products(self.result, self.today, self.of_products.typical)

    def free_by_week(self, product: Product, asked: FreeAsked) -> tuple[FreeWeek, ...]:
        """What one fresh product gives by week: usable, free, hoped to be offered."""
        return free_by_week(self.result, product, asked, self.of_products.free)

    @cached_property
    def season_picture(self) -> SeasonPicture:
        """The weeks ahead of every fresh product and of every role: there, promised, short and free."""
        return season_picture(self.season_asked, self.of_products.picture)

    def kind_weeks(self, product: Product) -> tuple[WeekFigures, ...]:
        """The weeks ahead of one fresh product, as the picture of the season has them."""
        return kind_weeks(self.season_asked, product, self.of_products.picture)

    @cached_property
    def colour_weeks(self) -> dict[str, tuple[WeekFigures, ...]]:
        """The weeks ahead of every colour; of kinds of which none is said under an empty word."""
        return colour_weeks(self.season_asked, self.of_products.picture)

    @cached_property
    def season_asked(self) -> SeasonAsked:
        """What the pictures of the season are made of."""
        weeks = tuple(Week.of(self.today).plus(number) for number in range(WEEKS_AHEAD))
        days, site = tuple(delivery_days(self.farm)), self.farm.site
        return SeasonAsked(self.result, self.gaps(None), self.crops, weeks, days, site.free_level)

    def gaps(self, level: float | None) -> tuple[Gap, ...]:
        """What is short, earliest first: at a level asked of every line, or at each line's own."""
        return self._over_seasons.gaps(level)

    def lines_of(self, order: str) -> tuple[DatedLine, ...]:
        """The dated lines of an order, without its spare."""
        return tuple(line for line in self.result.lines if line.order == order and not line.is_spare)

    def joint(self, order: str) -> float:
        """Weight of the seasons in which all lines of an order are filled; nought where it has none."""
        places = [place for place, line in enumerate(self.result.lines) if line.order == order and not line.is_spare]
        return self.joint_of(places) if places else 0.0

    def free_for_lines(self, lines: Iterable[DatedLine], level: float) -> dict[str, int]:
        """The stems each line could be given at a level with nobody losing a stem, by line key.

        A choice line adds up its products, at most `max_each` of one; its substitutes are not counted.
        """
        return {line.line: self._free_for(line, level) for line in lines}

    def _free_for(self, line: DatedLine, level: float) -> int:
        result = self.result
        left = [still_free(result, one, [window_of(line)], line.min_length_cm) for one in self._products_of(line)]
        return int(free_for_line(left, most_each(line), result.supply.weights, (level,))[0, 0])

    def accepted_by(self, line: DatedLine) -> tuple[Product, ...]:
        """Every product that a line accepts: its own or those of its choice, then its substitutes."""
        return tuple(dict.fromkeys((*self._products_of(line), *line.substitutes)))

    def _products_of(self, line: DatedLine) -> Sequence[Product]:
        if line.choice is not None:
            return self.result.candidates.offer.answering(line.choice)
        assert line.product is not None, "a line asks a product or a choice"
        return (line.product,)

    def _one_season(self, supply: Supply) -> OneSeason:
        result = match(self.result.lines, supply, self.result.keeping)
        return OneSeason(result, sources(result))
