"""The answers about usual sales: what each would get, and what each batch brings for its metres of bed.

`bed_money.py` works them out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from haulm.demand.usual import Hope
from haulm.farm.batches import Batch
from haulm.farm.usual_sales import UsualSale
from haulm.matching.allocation.allocations import Allocations
from haulm.matching.allocation.result import MatchResult, filled
from haulm.matching.reading.confidence import mean_of, weight_of
from haulm.matching.reading.hoped import HopedAsk


@dataclass(frozen=True, slots=True)
class HopedWeek:
    """One week of a usual sale.

    Attributes:
        due: the day the stems would leave.
        asked: stems hoped to be sold.
        stems: stems it would get on average.
        full: weight of the seasons in which it would get all, 0-1.
        stem_minor: the price of a stem [minor units].
    """

    due: date
    asked: int
    stems: float
    full: float
    stem_minor: float

    @property
    def minor(self) -> float:
        """Money hoped for on average [minor units]."""
        return self.stems * self.stem_minor


@dataclass(frozen=True, slots=True)
class SaleOutlook:
    """A usual sale in the weeks to come; none where they are over or beyond the forecast."""

    sale: UsualSale
    weeks: tuple[HopedWeek, ...]

    @property
    def stems(self) -> float:
        """Stems a week on average over its weeks."""
        return sum(week.stems for week in self.weeks) / len(self.weeks) if self.weeks else 0.0

    @property
    def full(self) -> float:
        """The share of seasons in which one of its weeks is full, on average over its weeks, 0-1."""
        return sum(week.full for week in self.weeks) / len(self.weeks) if self.weeks else 0.0

    @property
    def minor(self) -> float:
        """Money hoped for in all its weeks [minor units]."""
        return sum(week.minor for week in self.weeks)


@dataclass(frozen=True, eq=False)
class Hoped:
    """All usual sales against what is left of one match.

    Attributes:
        result: the match.
        hopes: each sale in each of its weeks, in the order in which they are served.
        asks: what each asks, as it was counted.
        takes: what each would take.
        prices: the price of a stem of each [minor units].
    """

    result: MatchResult
    hopes: tuple[Hope, ...]
    asks: tuple[HopedAsk, ...]
    takes: tuple[Allocations, ...]
    prices: tuple[float, ...]

    def weeks(self) -> Iterator[tuple[Hope, HopedWeek]]:
        """Each hope with what would become of it."""
        weights = self.result.supply.weights
        for hope, takes, price in zip(self.hopes, self.takes, self.prices, strict=True):
            got = filled(takes, self.result.supply.seasons)
            asked = hope.sale.stems
            yield hope, HopedWeek(hope.due, asked, mean_of(got, weights), weight_of(got >= asked, weights), price)

    @property
    def minor(self) -> float:
        """Money hoped for in all [minor units]."""
        return sum(week.minor for _, week in self.weeks())


@dataclass(frozen=True, slots=True)
class BedMoney:
    """What a batch brings from today on, on average over the seasons.

    Attributes:
        batch: the batch.
        promised_minor: from what is promised [minor units].
        hoped_minor: from usual sales [minor units].
        stall_minor: from the stall's orders [minor units].
        cost_minor: seed, plants and hours that are still to be spent [minor units].
        stems: stems it gives.
        sold: stems that are sold so.
        metres: bed it takes [m].
        weeks: how long from today on [weeks].
    """

    batch: Batch
    promised_minor: float
    hoped_minor: float
    stall_minor: float
    cost_minor: float
    stems: float
    sold: float
    metres: float
    weeks: float

    @property
    def minor(self) -> float:
        """What it brings in all, less what is still to be spent [minor units]."""
        return self.promised_minor + self.hoped_minor + self.stall_minor - self.cost_minor

    @property
    def per_metre(self) -> float:
        """The same for a metre of bed [minor units a metre]."""
        return self.minor / self.metres if self.metres else 0.0

    @property
    def per_metre_week(self) -> float:
        """The same for a metre and week [minor units a metre and week]."""
        return self.per_metre / self.weeks if self.weeks else 0.0


@dataclass(frozen=True, slots=True)
class HopedSowing:
    """A sowing that usual sales would pay for.

    Attributes:
        batch: the sowing, with the bed and the trays that have room for it.
        gained_minor: more money hoped for with it, every promise served first [minor units].
        spent_minor: seed, plants and hours [minor units].
        metres: bed it takes [m].
        weeks: how long [weeks].
    """

    batch: Batch
    gained_minor: float
    spent_minor: float
    metres: float
    weeks: float

    @property
    def per_metre_week(self) -> float:
        """What it may bring, less what is spent, for a metre of bed and week [minor units]."""
        return (self.gained_minor - self.spent_minor) / (self.metres * self.weeks or 1.0)


@dataclass(frozen=True, eq=False)
class UsualFigures:
    """Everything that is said of usual sales at one version.

    Attributes:
        hoped: the sales against what is left of the match.
        sales: what each would get, in the order of the rows.
        beds: what each batch brings, the most for a metre and week first.
    """

    hoped: Hoped
    sales: tuple[SaleOutlook, ...]
    beds: tuple[BedMoney, ...]
