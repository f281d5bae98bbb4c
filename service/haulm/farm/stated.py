"""Where and when a figure of the crop library is stated: what makes it a need of the plant, not of one place."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ReferenceClimate:
    """The usual weather of a place for which figures are stated: monthly means, January first [deg C], north."""

    name: str
    latitude_deg: float
    min_c: tuple[float, ...]
    max_c: tuple[float, ...]

    def __post_init__(self) -> None:
        assert len(self.min_c) == 12, "a mean minimum of each month"
        assert len(self.max_c) == 12, "a mean maximum of each month"
        assert all(low <= high for low, high in zip(self.min_c, self.max_c, strict=True)), (
            "no night is warmer than its day"
        )
        assert self.latitude_deg > 0, "a reference climate lies north of the equator"


@dataclass(frozen=True, slots=True)
class StatedFor:
    """The climate, and the month and day of the start, for which weeks to flower are stated."""

    climate: ReferenceClimate
    month_day: tuple[int, int]


@dataclass(frozen=True, slots=True)
class ColdNeed:
    """What a kind needs of winter before it grows towards flowering.

    Attributes:
        days: days of full cold.
        grows_from: it doesn't grow before this month and day (north; six months later in the south).
    """

    days: float
    grows_from: tuple[int, int] = (3, 1)

    def __post_init__(self) -> None:
        assert self.days >= 0, "a need of cold is never negative"
