"""What a forecast is made from: a climate, sowings with what was recorded of them, and the setting of the draw.

Plain values, so that the room needs no store and no snapshot.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
import numpy.typing as npt

from haulm.errors import HaulmError
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, Method, WinterCover
from haulm.forecast.doubt import EXACT, Doubt
from haulm.horticulture.sowing_windows import SowingRules

MonthDay = tuple[int, int]


class ClimateMissing(HaulmError):
    """The forecast of a batch was asked for on a farm that has given neither frost dates nor temperatures."""

    code = "climate-missing"

    def __init__(self, *, batch: str) -> None:
        super().__init__(
            f"The forecast of batch '{batch}' needs frost dates, monthly temperatures or a daily temperature file,"
            " and the farm has none of them.",
            batch=batch,
        )


@dataclass(frozen=True, slots=True)
class DailySeries:
    """Daily extremes of past years: dates datetime64[D], min_c and max_c [deg C], all shape (n,); gaps allowed."""

    dates: npt.NDArray[np.datetime64]
    min_c: npt.NDArray[np.float64]
    max_c: npt.NDArray[np.float64]

    def __post_init__(self) -> None:
        assert self.dates.shape == self.min_c.shape == self.max_c.shape, "one minimum and maximum for each date"


@dataclass(frozen=True, slots=True)
class MonthlyNormals:
    """Mean daily minimum and maximum of each month, January first [deg C]."""

    min_c: tuple[float, ...]
    max_c: tuple[float, ...]

    def __post_init__(self) -> None:
        assert len(self.min_c) == 12, "a mean minimum of each month"
        assert len(self.max_c) == 12, "a mean maximum of each month"


@dataclass(frozen=True, slots=True)
class DateLevels:
    """Levels of a date that varies from year to year, month and day; p10: one year in ten is earlier."""

    p10: MonthDay
    p50: MonthDay
    p90: MonthDay


@dataclass(frozen=True, slots=True)
class Climate:
    """What is known of the weather of the place; frost dates win over minima where both are given."""

    daily: DailySeries | None = None
    normals: MonthlyNormals | None = None
    last_spring_frost: DateLevels | None = None
    first_autumn_frost: DateLevels | None = None
    no_frost_share: float = 0.0

    def __post_init__(self) -> None:
        assert 0 <= self.no_frost_share < 1, "some year has a frost"


@dataclass(frozen=True, slots=True)
class PartLoss:
    """Some of a batch's plants were lost on a day: a number, or a share of those that were left (0-1)."""

    day: date
    plants: int | None
    share: float = 0.0

    def __post_init__(self) -> None:
        assert 0 <= self.share <= 1, "a loss takes a share of what was left"
        assert self.plants is None or self.share == 0, "a loss is counted or a share, not both"

    def rest(self, plants: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """The plants that stay, of so many before it.

        Args:
            plants: before the loss, any shape [places].

        Returns:
            After it, same shape [places].

        Source: definition.
        """
        if self.plants is None:
            return plants * (1 - self.share)
        return np.asarray(np.maximum(plants - self.plants, 0.0))


@dataclass(frozen=True, slots=True)
class Evidence:
    """What was recorded of a batch. None or 0: no record, which is never evidence.

    Attributes:
        germinated_final: places that came up, final or at planting.
        germinated_so_far: places up at the latest count, a lower bound.
        plants_alive: plants counted in the bed.
        first_cut: the day of the first cut.
        not_yet: the latest day on which "not yet" was recorded.
        ready_by: the earliest day on which stems were cut or counted standing: the first came by then.
        cut_so_far: stems cut, a lower bound on what was there.
        cut_until: the day of the latest cut or count of standing stems.
        left: stems standing after that, where it was said.
        is_shared_out: some count was of the variety and this is the batch's share by rule, so it bounds, no more.
        lost_on, finished_on: no stems from that day.
        losses: losses of some of the plants, in the order of time, since the plants were counted.
        gone_until: the latest day on which all that stood ready was spoiled or went over.
        is_part_gone: some stems went uncounted, so counts of what is left bound, no more.
    """

    germinated_final: int | None = None
    germinated_so_far: int | None = None
    plants_alive: int | None = None
    first_cut: date | None = None
    not_yet: date | None = None
    ready_by: date | None = None
    cut_so_far: int = 0
    cut_until: date | None = None
    left: int | None = None
    lost_on: date | None = None
    finished_on: date | None = None
    is_shared_out: bool = False
    losses: tuple[PartLoss, ...] = ()
    gone_until: date | None = None
    is_part_gone: bool = False

    def __post_init__(self) -> None:
        assert self.cut_until is not None or not self.cut_so_far, "stems were cut by some day"
        assert self.cut_until is not None or self.left is None, "stems left were counted on some day"


@dataclass(frozen=True, slots=True)
class Sowing:
    """A batch as the forecast needs it; `sown` and `plants` are places. `tunnel`: its bed is under cover.

    `winter_cover`: what it is given for the winter on top of that.
    `kind` names what the varieties are cultivars of, `lot` what lives or dies together; empty: the variety, the batch.
    `lot_seen`: something of its lot was counted, or planted. `season`: when its kind may be sown on this farm.
    `may_fail`: whether it fails outright in some seasons; to ask what it would give if it didn't.
    """

    key: str
    variety: str
    crop: Crop
    method: Method
    form: Form
    status: BatchStatus
    sow_date: date | None
    sown: int | None
    plants: int | None
    plant_out_date: date | None = None
    tunnel: bool = False
    winter_cover: WinterCover = WinterCover.NONE
    evidence: Evidence = field(default_factory=Evidence)
    kind: str = ""
    lot: str = ""
    doubt: Doubt = EXACT
    lot_seen: bool = False
    season: SowingRules = field(default_factory=SowingRules)
    may_fail: bool = True

    @property
    def kind_key(self) -> str:
        """The kind it shares its doubt with."""
        return self.kind or self.variety

    @property
    def lot_key(self) -> str:
        """The lot that lives or dies as one."""
        return self.lot or self.key

    @property
    def product(self) -> Product:
        """What its stems are sold as."""
        return Product(self.variety, self.form)


@dataclass(frozen=True, slots=True)
class Setting:
    """Where and when the forecast is made, frosts recorded on the farm, and the size and seed of the draw.

    `daylight`: whether short days slow a crop; off, only warmth and the calendar count.
    `frost_days_earlier` supposes that whatever frost ends a batch comes so many days earlier in every season [d].
    `bad_share`: share of growing years in which all kinds give `bad_factor` of their stems (0-1).
    `dead_lot_share`: share of lots that don't come up, and are sown again once that is counted (0-1).
    """

    latitude_deg: float
    today: date
    frosts: tuple[date, ...] = ()
    seasons: int = 2000
    seed: int = 1
    daylight: bool = True
    frost_days_earlier: int = 0
    bad_share: float = 0.0
    bad_factor: float = 0.5
    dead_lot_share: float = 0.0

    def __post_init__(self) -> None:
        assert self.seasons > 0, "a forecast is made of seasons"
        assert 0 <= self.bad_share <= 1, "a share of growing years is bad"
        assert 0 < self.bad_factor <= 1, "a bad year gives less, and its logarithm is taken"
        assert 0 <= self.dead_lot_share <= 1, "a share of lots is dead"
