"""Limits: the smallest and largest value of every number, and the length of every text, one table for all doors."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from haulm.language.words import _, marked

MOST = 1_000_000_000
MOST_STEMS = 1_000_000
LONGEST_TEXT = 2_000
TEXT_SENTENCE = marked("one line of at most 2000 characters, no control characters")
NOTE_SENTENCE = marked("text of at most 2000 characters, no control characters but line ends and tabs")

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")
_CONTROL_IN_NOTE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Limits:
    """The numbers accepted: low to high, both included, or both excluded where `is_open`."""

    low: float
    high: float
    is_open: bool = False

    def __post_init__(self) -> None:
        assert self.low < self.high, "some number lies within the limits"

    @property
    def least(self) -> float:
        """The smallest number inside."""
        # The nearest number inside, so that open and closed ranges are compared alike, here and by the database.
        return math.nextafter(self.low, math.inf) if self.is_open else self.low

    @property
    def most(self) -> float:
        """The largest number inside."""
        return math.nextafter(self.high, -math.inf) if self.is_open else self.high

    def hold(self, value: float) -> bool:
        """Whether a number is inside; not-a-number never is."""
        return self.least <= value <= self.most

    @property
    def sentence(self) -> str:
        """The range in words, without saying whether whole numbers are wanted."""
        said = _("above {low} and below {high}") if self.is_open else _("from {low} to {high}")
        return said.format(low=f"{self.low:.15g}", high=f"{self.high:.15g}")


AMOUNT = Limits(0, MOST)
BUNCH = Limits(1, 1_000_000)
BUNCHES_OF_A_BUCKET = Limits(1, 1_000)
COUNT = Limits(0, MOST_STEMS)
COUNT_OF_ONE = Limits(1, MOST_STEMS)
CONFIDENCE = Limits(0, 1, is_open=True)
CAREFUL = Limits(0, 0.5, is_open=True)
DAYS = Limits(0, 366)
DRIED_DAYS = Limits(0, 36_500)
FLOWER_WEEKS = Limits(1, 260)
HARVEST_WEEKS = Limits(0.1, 260)
LATITUDE = Limits(-90, 90)
LENGTH_CM = Limits(0, 1_000)
METRES = Limits(0, 1_000_000)
MINUTES = Limits(0, 10_000)
PERCENT = Limits(0, 100)
SPACING_CM = Limits(0.1, 100_000)
TEMPERATURE_C = Limits(-70, 60)
TRAYS = Limits(0, 1_000_000)
TWO_WEEKS = Limits(0, 14)
WEEKS = Limits(0, 260)
YEAR = Limits(1900, 2999)

_LINE: Mapping[str, Limits] = {
    "stems": COUNT_OF_ONE,
    "minimum": COUNT,
    "min_length_cm": LENGTH_CM,
    "max_each": COUNT_OF_ONE,
    "max_age_days": DRIED_DAYS,
    "promised_confidence": CONFIDENCE,
    "bunch_price_minor": AMOUNT,
    "bunch_stems": BUNCH,
}

NUMBERS: Mapping[str, Mapping[str, Limits]] = {
    "varieties": {
        "weeks_to_flower": FLOWER_WEEKS,
        "harvest_weeks": HARVEST_WEEKS,
        "stems_per_plant": Limits(0, 1_000),
        "germination_pct": PERCENT,
        "germination_days": DAYS,
        "seeds_per_place": Limits(1, 10_000),
        "weeks_to_plant_out": WEEKS,
        "harden_days": DAYS,
        "kill_c": TEMPERATURE_C,
        "spacing_cm": SPACING_CM,
        "row_cm": SPACING_CM,
        "hold_days": DAYS,
        "stand_days": DAYS,
        "dry_days": DAYS,
        "dried_keep_days": DRIED_DAYS,
        "bunch_stems": BUNCH,
        "price_minor": AMOUNT,
        "dried_price_minor": AMOUNT,
        "weeks_through": YEAR,
        "stems_through": YEAR,
    },
    "beds": {"metres": METRES, "width_cm": SPACING_CM, "trays": TRAYS, "walk": AMOUNT},
    "batches": {"sown": COUNT, "plants": COUNT, "trays": TRAYS, "metres": METRES},
    "records": {"count": COUNT, "left": COUNT, "length_cm": LENGTH_CM, "share_pct": Limits(1, 100)},
    "known_stems": {"stems": COUNT, "length_cm": LENGTH_CM},
    "temperatures": {"min_c": TEMPERATURE_C, "max_c": TEMPERATURE_C},
    "customers": {"notice_days": DAYS},
    "standing_orders": {"every": Limits(1, 2)},
    "standing_lines": _LINE,
    "changes": {"stems": COUNT},
    "orders": {},
    "order_lines": {**_LINE, "spare": COUNT, "agreed_price_minor": AMOUNT},
    "prices": {"length_cm": LENGTH_CM, "bunch_stems": BUNCH, "price_minor": AMOUNT},
    "recipes": {"stems": COUNT_OF_ONE},
    "sprays": {},
    "piece_decisions": {},
    "past_years": {"year": YEAR, "stems": COUNT_OF_ONE, "plants": COUNT_OF_ONE},
    "usual_sales": {"stems": COUNT_OF_ONE, "stem_price_minor": AMOUNT},
    "at_home": {},
}
"""By collection and field. Bounds are far outside what a small grower meets; they keep slips of the pen out of the
arithmetic (common practice)."""

ONCE_ACCEPTED: Mapping[str, Mapping[str, Limits]] = {
    "varieties": {"weeks_to_flower": WEEKS, "harvest_weeks": WEEKS},
}
"""Wider limits of an earlier release, by collection and field: what was written then is kept, and read as not given."""

TEXTS: Mapping[str, tuple[str, ...]] = {
    "varieties": ("name", "botanical_name", "colour", "caution"),
    "beds": ("name",),
    "batches": ("tray",),
    "customers": ("name", "email", "phone"),
    "standing_lines": ("stage",),
    "order_lines": ("stage",),
    "recipes": ("piece",),
    "piece_decisions": ("piece",),
}
"""Fields of one line of text, by collection."""

NOTES: Mapping[str, tuple[str, ...]] = dict.fromkeys(
    ("records", "known_stems", "changes", "recipes", "sprays", "piece_decisions", "past_years", "usual_sales"),
    ("note",),
)
"""Fields of text that may have several lines, by collection."""


def is_text(text: str) -> bool:
    """Whether this is one clean line: not too long, no blanks around it, no control characters."""
    return len(text) <= LONGEST_TEXT and text == text.strip() and _CONTROL.search(text) is None


def is_required_text(text: str) -> bool:
    """Whether this is one clean line that says something."""
    return text != "" and is_text(text)


def is_note(text: str) -> bool:
    """Whether this is a clean note: as a line of text, but line ends and tabs are fine inside."""
    return len(text) <= LONGEST_TEXT and text == text.strip() and _CONTROL_IN_NOTE.search(text) is None
