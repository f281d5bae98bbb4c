"""The site: where the farm is, how its week runs, and what it knows of frost, warmth and seasons."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time

from haulm.errors import NotAccepted
from haulm.farm.costs import CostRules
from haulm.farm.words import USUAL_CLASS_ORDER, LineClass, Weekday
from haulm.language.words import _, marked

_MONTH_DAY = re.compile(r"(\d{2})-(\d{2})", re.ASCII)


@dataclass(frozen=True, slots=True, order=True)
class MonthDay:
    """A day of any year; `str()` gives `04-25`."""

    month: int
    day: int

    def __str__(self) -> str:
        return f"{self.month:02d}-{self.day:02d}"

    def in_year(self, year: int) -> date:
        """The date in a year; 29 February is 28 February where the year has none."""
        if (self.month, self.day) == (2, 29) and not _is_leap(year):
            return date(year, 2, 28)
        return date(year, self.month, self.day)

    @classmethod
    def parse(cls, text: str, *, where: str = "month and day") -> MonthDay:
        """A day of the year from text such as `04-25`.

        Raises:
            NotAccepted: the text is not a month and a day that exist.
        """
        match = _MONTH_DAY.fullmatch(text)
        try:
            if match is None:
                raise ValueError(text)
            date(2000, int(match[1]), int(match[2]))
        except ValueError:
            accepted = _("a month and day such as 04-25")
            raise NotAccepted(where=where, found=f"'{text}'", accepted=accepted) from None
        return cls(int(match[1]), int(match[2]))


@dataclass(frozen=True, slots=True)
class Cutoff:
    """The last hour to change an order for the coming bucket day; `str()` gives `fri 18:00`."""

    weekday: Weekday
    at: time

    def __str__(self) -> str:
        return f"{self.weekday} {self.at:%H:%M}"

    @classmethod
    def parse(cls, text: str, *, where: str = "cutoff") -> Cutoff:
        """A cutoff from text such as `fri 18:00`.

        Raises:
            NotAccepted: the text is not a weekday and a time.
        """
        weekday, _space, at = text.partition(" ")
        try:
            if re.fullmatch(r"\d{2}:\d{2}", at, re.ASCII) is None:
                raise ValueError(at)
            return cls(Weekday(weekday), time.fromisoformat(at))
        except ValueError:
            accepted = _("a weekday and a time such as 'fri 18:00'")
            raise NotAccepted(where=where, found=f"'{text}'", accepted=accepted) from None


@dataclass(frozen=True, slots=True)
class FrostDates:
    """Three quantiles each of the last spring frost and the first autumn frost (p10: one year in ten is earlier)."""

    last_spring_p10: MonthDay
    last_spring_p50: MonthDay
    last_spring_p90: MonthDay
    first_autumn_p10: MonthDay
    first_autumn_p50: MonthDay
    first_autumn_p90: MonthDay


@dataclass(frozen=True, slots=True)
class MonthlyTemperatures:
    """Mean daily minimum and maximum of each month, January first [deg C]."""

    min_c: tuple[float, ...]
    max_c: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SowingSeason:
    """When a group of kinds may be sown outdoors, and until when seed under glass is not too hot; None: a default."""

    direct_from: MonthDay | None = None
    direct_until: MonthDay | None = None
    glass_until: MonthDay | None = None


@dataclass(frozen=True, slots=True)
class PriceRules:
    """Farm-wide prices in minor units; percentages as the farm sets them. Haulm does not advise on tax."""

    stem_minor: int = 0
    labour_minor_per_hour: int = 0
    delivery_minor: int = 0
    tax_percent: float = 0.0
    seed_minor_per_place: int = 0


USUAL_WORK_DAYS = tuple(day for day in Weekday if day is not Weekday.SUN)
"""Days on which a farm sows and plants where it says nothing (common practice)."""
PLAIN_CLAUSE = marked(
    "We promise the colours and the number of stems by role named here. Kinds are hoped for, "
    "unless a line names one. Where weather or pests keep a kind back we send others in "
    "these colours, of at least the same value, and never a kind that you have told us you "
    "do not want."
)
"""What a quote says of substitutes until the farm has written its own words (common practice)."""


@dataclass(frozen=True, slots=True)
class QuoteRules:
    """How the farm quotes.

    Attributes:
        spare_percent: spare for breakage on pieces; 10 % at least for handling in published habits [%].
        own_arranging_spare_percent: the same where the couple arranges; 20 % in published habits [%].
        valid_days: days an offer stands; 14 to 30 is common practice [d].
        final_numbers_days: days before the event by which the counts are final; about four weeks [d].
        substitution_clause: what a quote says of substitutes.
        minutes: minutes of making one piece, by piece; a piece that is not named takes a starting figure [min].
    """

    spare_percent: float = 15.0
    own_arranging_spare_percent: float = 20.0
    valid_days: int = 30
    final_numbers_days: int = 28
    substitution_clause: str = PLAIN_CLAUSE
    minutes: Mapping[str, int] = field(default_factory=dict[str, int])


@dataclass(frozen=True, slots=True)
class Letterhead:
    """What stands on the farm's papers beside its name; empty where the farm says nothing. Nothing of it is advice.

    Attributes:
        address: where the farm is, on several lines.
        phone: where it is called.
        tax_number: its number for tax.
        tax_name: what the tax on its prices is called there.
        bank: where money goes, word for word.
        deposit: what is paid beforehand, word for word.
        terms: what else is agreed, word for word.
    """

    address: str = ""
    phone: str = ""
    tax_number: str = ""
    tax_name: str = ""
    bank: str = ""
    deposit: str = ""
    terms: str = ""


@dataclass(frozen=True, slots=True)
class ClassLevels:
    """How sure a promise of each class must be where nobody says, 0-1; spare is no promise and has none.

    A wedding has one day and no second try; a standing order has another week, and the stall takes what comes (common
    practice; the figures are the project's own).
    """

    wedding: float = 0.8
    standing: float = 0.65
    one_off: float = 0.65
    stall: float = 0.5


@dataclass(frozen=True, slots=True)
class Site:
    """The farm itself, as `farm.toml` says it.

    Units: latitude degrees, north positive; condition_days and wedding_days_ahead days; default_confidence 0-1 or none.
    """

    name: str
    latitude: float
    timezone: str = "UTC"
    currency: str = "EUR"
    cut_days: tuple[Weekday, ...] = (Weekday.MON, Weekday.THU)
    bucket_day: Weekday = Weekday.MON
    condition_days: int = 1
    wedding_days_ahead: int = 2
    cutoff: Cutoff = Cutoff(Weekday.FRI, time(18, 0))
    bucket_bunches: int = 5
    """Bunches that a bucket is counted as where an order says buckets (from memory)."""
    careful_share: float = 0.05
    """How careful the season is whose stems the week's list calls theirs: the share of seasons that give less."""
    default_confidence: float | None = None
    """One level for every class; where it is set, `levels` says nothing."""
    levels: ClassLevels = ClassLevels()
    digest_days: tuple[Weekday, ...] = (Weekday.MON, Weekday.THU)
    short_letter_day: Weekday = Weekday.MON
    work_days: tuple[Weekday, ...] = USUAL_WORK_DAYS
    """Days on which somebody sows, plants and orders."""
    class_order: tuple[LineClass, ...] = USUAL_CLASS_ORDER
    frost: FrostDates | None = None
    temperatures: MonthlyTemperatures | None = None
    seasons: Mapping[str, SowingSeason] = field(default_factory=dict[str, SowingSeason])
    """By group: `hardy`, `half_hardy`."""
    prices: PriceRules = PriceRules()
    quotes: QuoteRules = field(default_factory=QuoteRules)
    costs: CostRules = field(default_factory=CostRules)
    papers: Letterhead = Letterhead()

    def __hash__(self) -> int:
        return hash((self.name, self.latitude))  # seasons are a mapping, which has no hash

    @property
    def is_south(self) -> bool:
        """Whether the farm lies in the southern hemisphere."""
        return self.latitude < 0

    @property
    def cut_weekdays(self) -> frozenset[int]:
        """ISO numbers of the cut days."""
        return frozenset(day.iso for day in self.cut_days)

    def is_work_day(self, day: date) -> bool:
        """Whether somebody works on the farm on a day."""
        return day.isoweekday() in {weekday.iso for weekday in self.work_days}

    def level_of(self, line_class: LineClass) -> float:
        """How sure a promise of a class must be where nobody says, 0-1.

        Args:
            line_class: the class its demand has once contracted; not spare, which is no promise, nor hold.
        """
        if self.default_confidence is not None:
            return self.default_confidence
        assert line_class not in (LineClass.SPARE, LineClass.HOLD), "spare and holds are no promises of a class"
        levels = self.levels
        return {
            LineClass.WEDDING: levels.wedding,
            LineClass.STANDING: levels.standing,
            LineClass.ONE_OFF: levels.one_off,
            LineClass.STALL: levels.stall,
        }[line_class]

    @property
    def free_level(self) -> float:
        """How sure what is said to be free must be where nobody says: as a one-off order, 0-1."""
        return self.level_of(LineClass.ONE_OFF)

    def class_rank(self, line_class: LineClass) -> int:
        """The place of a class in the farm's order, 0 first."""
        return self.class_order.index(line_class)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
