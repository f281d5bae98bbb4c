"""What sowing more costs: a kind's starting figures, and the farm's own that replace them."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.language.words import _, marked


@dataclass(frozen=True, slots=True)
class KindCosts:
    """Starting figures of a kind; money in hundredths of the farm's currency, whatever that is.

    Attributes:
        seed_minor: seed of one place [minor units].
        sold_as_plugs: whether young plants of it are commonly sold in trays.
        plug_minor: one plug [minor units].
        plug_tray: plugs in a tray as it is sold.
        plug_least: the least that is delivered [plugs].
        plug_weeks: weeks from the order to the plants [weeks].
        tuber_minor: one tuber, corm or bulb [minor units].
        tuber_bag: tubers in a bag as it is sold.
        planted_as: what is planted of it where it is not sown: tuber, corm, bulb or crown.
        origin: where the figures come from.
    """

    seed_minor: float = 3.0
    sold_as_plugs: bool = False
    plug_minor: float = 25.0
    plug_tray: int = 125
    plug_least: int = 125
    plug_weeks: int = 8
    tuber_minor: float = 60.0
    tuber_bag: int = 10
    planted_as: str = "tuber"
    origin: str = "from memory"

    @property
    def several_planted(self) -> str:
        """What is planted of it, more than one, in words: `tubers`."""
        return _(_SEVERAL[self.planted_as])


_SEVERAL = {"tuber": marked("tubers"), "corm": marked("corms"), "bulb": marked("bulbs"), "crown": marked("crowns")}


@dataclass(frozen=True, slots=True)
class CostRules:
    """The farm's own figures; None where the starting figure of the kind, or of every farm, stands.

    Attributes:
        plug_minor: one plug [minor units].
        plug_tray: plugs in a tray as it is sold; a sowing of plugs is a number of these.
        plug_least: the least that is delivered [plugs].
        plug_weeks: weeks from the order to the plants [weeks].
        plug_kinds: varieties that the farm can buy as plugs, beside those that commonly are.
        tuber_minor: one tuber, corm or bulb [minor units].
        tuber_bag: tubers in a bag as it is sold.
        seed_days: days from ordering seed or tubers to having them [d].
        bought_stem_minor: a stem bought from another grower [minor units].
        bed_metre_week_minor: what a metre of bed is worth for a week [minor units].
        tray_week_minor: what the room of a tray on the bench is worth for a week [minor units].
        work_minor_per_hour: an hour of sowing, planting or cutting; hours are not counted where it is not said
            [minor units].
    """

    plug_minor: int | None = None
    plug_tray: int | None = None
    plug_least: int | None = None
    plug_weeks: int | None = None
    plug_kinds: tuple[str, ...] = ()
    tuber_minor: int | None = None
    tuber_bag: int | None = None
    seed_days: int | None = None
    bought_stem_minor: int | None = None
    bed_metre_week_minor: int | None = None
    tray_week_minor: int | None = None
    work_minor_per_hour: int | None = None

    @property
    def stem_bought(self) -> int:
        """What a stem from another grower costs, by the farm's own figure or the one to start from [minor units]."""
        return BOUGHT_STEM_MINOR if self.bought_stem_minor is None else self.bought_stem_minor


SEED_DAYS = 7
"""From ordering seed or tubers to having them [d] (from memory)."""
BOUGHT_STEM_MINOR = 80
"""A stem bought from another grower [minor units] (from memory)."""
BED_METRE_WEEK_MINOR = 15
"""What a metre of bed is worth for a week [minor units] (from memory)."""
TRAY_WEEK_MINOR = 50
"""What the room of a tray on the bench is worth for a week [minor units] (from memory)."""
STEM_MINOR = 50
"""A stem for which the farm has no price [minor units] (from memory)."""
