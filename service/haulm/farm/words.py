"""Closed vocabularies: the words that files, tables, routes and rules share. One word, one meaning."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from haulm.language.days import weekday_name


class LifeCycle(StrEnum):
    """How a kind lives, which decides what frost does to it."""

    HARDY_ANNUAL = "hardy_annual"
    HALF_HARDY_ANNUAL = "half_hardy_annual"
    TENDER_ANNUAL = "tender_annual"
    BIENNIAL = "biennial"
    PERENNIAL = "perennial"
    BULB_TUBER = "bulb_tuber"


class Role(StrEnum):
    """What a stem does in a bunch or bouquet."""

    FOCAL = "focal"
    SECONDARY = "secondary"
    SPIKE = "spike"
    FILLER = "filler"
    ACCENT = "accent"
    TEXTURE = "texture"
    MOVEMENT = "movement"
    FOLIAGE = "foliage"


class Habit(StrEnum):
    """How a batch gives its stems over time."""

    SINGLE_CUT = "single_cut"
    FLUSH = "flush"
    CUT_AND_COME_AGAIN = "cut_and_come_again"


class Method(StrEnum):
    """How a batch is started."""

    HEATED = "heated"
    COVER = "cover"
    DIRECT = "direct"
    PLUGS = "plugs"
    TUBER = "tuber"
    ESTABLISHED = "established"


class Form(StrEnum):
    """The form a stem is sold in."""

    FRESH = "fresh"
    DRIED = "dried"


class BatchStatus(StrEnum):
    """Where a batch stands."""

    PLANNED = "planned"
    SOWN = "sown"
    PLANTED = "planted"
    CUTTING = "cutting"
    FINISHED = "finished"
    LOST = "lost"


class UsualSource(StrEnum):
    """Where the hope of a usual sale comes from; in this order they are served from what is left over."""

    FLORIST = "florist"
    WISHES = "wishes"
    STALL = "stall"


class Needed(StrEnum):
    """What a sowing is begun from, and has to be bought."""

    SEED = "seed"
    PLUGS = "plugs"
    TUBERS = "tubers"


class InHand(StrEnum):
    """How far what a sowing is begun from has come."""

    AT_HOME = "at_home"
    ORDERED = "ordered"


class RecordKind(StrEnum):
    """What the grower saw or did."""

    SOWN = "sown"
    GERMINATED = "germinated"
    PRICKED_OUT = "pricked_out"
    POTTED_ON = "potted_on"
    HARDENING = "hardening"
    PLANTED = "planted"
    STANDING = "standing"
    NOT_YET = "not_yet"
    FIRST_CUT = "first_cut"
    CUT = "cut"
    HUNG = "hung"
    WASTE = "waste"
    LOST = "lost"
    RESOWN = "resown"
    FROST = "frost"
    FINISHED = "finished"
    CORRECTED = "corrected"


class LossReason(StrEnum):
    """Why plants or standing stems were lost in the field."""

    FROST = "frost"
    GONE_OVER = "gone_over"
    PESTS = "pests"
    DISEASE = "disease"
    WEATHER = "weather"
    OTHER = "other"


class Threat(StrEnum):
    """What the coming night or day may do to what stands in the field."""

    FROST = "frost"
    HEAT = "heat"
    HAIL = "hail"


class Grade(StrEnum):
    """A: order length and better. B: sound, shorter or softer."""

    A = "A"
    B = "B"


class BedKind(StrEnum):
    """Where plants or trays stand."""

    OUTDOOR = "outdoor"
    TUNNEL = "tunnel"
    BENCH = "bench"


class WinterCover(StrEnum):
    """What a batch is given for the winter, on top of the tunnel it may stand in; `snow` lies all winter."""

    NONE = "none"
    FLEECE = "fleece"
    LOW_COVER = "low_cover"
    MULCH = "mulch"
    SNOW = "snow"


class CustomerKind(StrEnum):
    """What a customer usually is; a default, never a limit."""

    FLORIST = "florist"
    WEDDING = "wedding"
    STALL = "stall"


class StandingStatus(StrEnum):
    """Whether a standing order runs."""

    ACTIVE = "active"
    PAUSED = "paused"
    ENDED = "ended"


class PriceFrom(StrEnum):
    """How the price that a line keeps came about."""

    AGREED = "agreed"
    LIST = "list"


class OrderPart(StrEnum):
    """Which of two nested parts of an order a line belongs to; the larger part is both."""

    STANDS = "stands"
    SOWN = "sown"


class OrderKind(StrEnum):
    """What a dated order is for."""

    WEDDING = "wedding"
    ONE_OFF = "one_off"
    STALL = "stall"

    @property
    def line_class(self) -> LineClass:
        """The class of its demand once it is contracted."""
        return LineClass(self.value)


class OrderStatus(StrEnum):
    """Where a dated order stands."""

    QUOTED = "quoted"
    ON_HOLD = "on_hold"
    CONTRACTED = "contracted"
    DELIVERED = "delivered"
    CANCELLED = "cancelled"


class LineClass(StrEnum):
    """The classes of demand, in their usual order: an earlier class keeps what it has."""

    WEDDING = "wedding"
    STANDING = "standing"
    ONE_OFF = "one_off"
    SPARE = "spare"
    HOLD = "hold"
    STALL = "stall"


class Weekday(StrEnum):
    """Days of the week, Monday first."""

    MON = "mon"
    TUE = "tue"
    WED = "wed"
    THU = "thu"
    FRI = "fri"
    SAT = "sat"
    SUN = "sun"

    @property
    def iso(self) -> int:
        """ISO 8601 number of the weekday, 1 = Monday."""
        return list(Weekday).index(self) + 1

    @property
    def full_name(self) -> str:
        """It as people say it: `Monday`."""
        return weekday_name(date.fromisocalendar(2027, 1, self.iso))

    @classmethod
    def of(cls, day: date) -> Weekday:
        """The weekday of a date."""
        return list(cls)[day.isoweekday() - 1]


assert {kind.value for kind in OrderKind} <= {one.value for one in LineClass}, "every kind of order has its class"

USUAL_CLASS_ORDER: tuple[LineClass, ...] = tuple(LineClass)


class HazardClass(StrEnum):
    """How a plant can do harm, the gravest way first where two weigh the same."""

    POISON = "poison"
    EYE = "eye"
    SUN = "sun"
    SKIN = "skin"
    AWN = "awn"
    FOOD_CONFUSION = "food_confusion"
    THORN = "thorn"
    ALLERGY = "allergy"
    PETS = "pets"


class PlantPart(StrEnum):
    """The part of a plant that does the harm."""

    ALL = "all"
    ROOT = "root"
    BULB = "bulb"
    LEAF = "leaf"
    SAP = "sap"
    SEED = "seed"
    FRUIT = "fruit"
    FLOWER = "flower"
    POLLEN = "pollen"
    HAIR = "hair"
    STEM = "stem"
    AWN = "awn"


class Use(StrEnum):
    """Where a piece is worn or stands."""

    WORN = "worn"
    TABLE = "table"
    SET_UP = "set up"
    FOOD = "food"


class Decision(StrEnum):
    """What the grower decided about a kind in a piece."""

    USE = "use"
    KEEP_OUT = "keep_out"


class Home(StrEnum):
    """Who lives in the home that flowers go to and may be hurt by them."""

    CATS = "cats"
    DOGS = "dogs"
    CHILDREN = "children"
