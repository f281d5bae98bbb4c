"""Varieties as the farm writes them, and crops: the same with every value filled in and its origin named."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from haulm.errors import NotAccepted
from haulm.farm.costs import KindCosts
from haulm.farm.hazards import Hazard
from haulm.farm.stated import ColdNeed, StatedFor
from haulm.farm.words import Habit, LifeCycle, Role
from haulm.language.words import _, marked

LENGTHS_SENTENCE = marked("shares by length that add up to 1, such as 30:0.3|40:0.5|50:0.2")
STAGES_SENTENCE = marked("stages by days after ready, such as young:cream:0-4|mature:tan:5-12")


@dataclass(frozen=True, slots=True)
class LengthShare:
    """The share of a batch's stems in one length class, named by its lower limit."""

    length_cm: int
    share: float


@dataclass(frozen=True, slots=True)
class Stage:
    """A cut stage: its colour, and the days after ready on which a stem is in it (inclusive)."""

    name: str
    colour: str
    from_day: int
    to_day: int


@dataclass(frozen=True, slots=True)
class FieldLife:
    """How long a ready stem may be cut where it stands: from the day it is ready, its age 0, until it goes over.

    Attributes:
        days: days after ready on which it still stands [d].
        stages: the cut stages it passes through; none for most.
    """

    days: int
    stages: tuple[Stage, ...] = ()

    def __post_init__(self) -> None:
        assert self.days >= 0, "a stem stands on the day it is ready"

    def stage(self, name: str) -> Stage | None:
        """The stage of that name, if there is one."""
        return next((stage for stage in self.stages if stage.name == name), None)

    def ages(self, stage: Stage | None = None) -> range:
        """The days after ready on which a stem stands, and is in the stage where one is asked."""
        # A farm may write a stage that outlasts its stems: what has gone over is in no stage.
        return range(self.days + 1) if stage is None else range(stage.from_day, min(stage.to_day, self.days) + 1)

    def oldest(self, day: date) -> date:
        """The ready day of the oldest stems that still stand on a day."""
        return day - timedelta(days=self.days)

    def last_day(self, ready: date) -> date:
        """The last day on which a stem stands that became ready on a day."""
        return ready + timedelta(days=self.days)


@dataclass(frozen=True, slots=True)
class Variety:
    """A row of the farm's own variety list; None where the farm says nothing and a default stands.

    Units: weeks from sowing; germination_pct 0-100; days; kill_c deg C; spacing_cm and row_cm cm;
    price_minor minor units of the farm's currency for one bunch. weeks_through and stems_through are the last season
    that the farm's own weeks_to_flower and stems_per_plant hold already: what was seen up to then is not counted again.
    """

    key: str
    name: str
    botanical_name: str | None = None
    life_cycle: LifeCycle | None = None
    role: Role | None = None
    colour: str | None = None
    habit: Habit | None = None
    weeks_to_flower: float | None = None
    harvest_weeks: float | None = None
    stems_per_plant: float | None = None
    germination_pct: float | None = None
    germination_days: float | None = None
    seeds_per_place: int | None = None
    weeks_to_plant_out: float | None = None
    harden_days: int | None = None
    kill_c: float | None = None
    spacing_cm: float | None = None
    row_cm: float | None = None
    hold_days: int | None = None
    stand_days: int | None = None
    dry_days: int | None = None
    dried_keep_days: int | None = None
    lengths: tuple[LengthShare, ...] = ()
    stages: tuple[Stage, ...] = ()
    bunch_stems: int | None = None
    price_minor: int | None = None
    dried_price_minor: int | None = None
    food_use: bool | None = None
    caution: str | None = None
    kind: str | None = None
    weeks_through: int | None = None
    stems_through: int | None = None


@dataclass(frozen=True, slots=True)
class Crop:
    """A variety with every value the pure rooms need; `origin` names, per field, where the value comes from.

    Origins: `farm`, a source id of the crop library, `common practice`, `from memory`. counted_from is the month and
    day (north; six months later in the south) of the start for which the weeks to flower are stated; None where the
    usual day of the kind stands. stated_for is the climate and start for which they are stated; None for the farm's own
    figure, which is stated for the farm's own ground. cold is what the kind needs of winter, None where it needs none;
    heat_end_c the mean maximum of two weeks that ends its cutting [deg C]. `hazards` are what is known of the plant,
    the worst first; `caution` says them. own_words are what farm and library say of harm beyond the hazards, word for
    word. soft_c and hardened_c are the crown temperatures that kill half of the plants, soft and hardened
    [deg C]. weed_note (where it spreads) and handling (how stems want to be treated) are no hazards and never stand
    among them. `kind` is what it is a cultivar of: the farm's word, else library_kind (its kind in the library), else
    itself; kind_name says it to people. stems_range are the published least and most stems of a plant; None where the
    figure has no range. costs are starting figures; the farm's own stand in its settings.
    """

    key: str
    name: str
    life_cycle: LifeCycle
    role: Role
    colour: str | None
    habit: Habit
    weeks_to_flower: float
    harvest_weeks: float
    stems_per_plant: float
    germination_share: float
    germination_days: float
    seeds_per_place: int
    weeks_to_plant_out: float
    harden_days: int
    kill_c: float
    spacing_cm: float
    row_cm: float
    hold_days: int
    stand_days: int
    dry_days: int
    dried_keep_days: int | None
    lengths: tuple[LengthShare, ...]
    stages: tuple[Stage, ...]
    bunch_stems: int
    price_minor: int | None
    dried_price_minor: int | None
    food_use: bool
    caution: str | None
    base_c: float
    origin: Mapping[str, str] = field(hash=False)
    counted_from: tuple[int, int] | None = None
    stated_for: StatedFor | None = None
    cold: ColdNeed | None = None
    heat_end_c: float | None = None
    hazards: tuple[Hazard, ...] = ()
    botanical_name: str | None = None
    own_words: tuple[str, ...] = ()
    weed_note: str | None = None
    handling: str | None = None
    soft_c: float = -5.0
    hardened_c: float = -10.0
    kind: str = ""
    kind_name: str = ""
    library_kind: str | None = None
    stems_range: tuple[float, float] | None = None
    costs: KindCosts = field(default_factory=KindCosts)

    def __post_init__(self) -> None:
        assert 0 <= self.germination_share <= 1, "a share of places comes up"
        assert self.hardened_c <= self.soft_c, "a hardened plant stands as much cold as a soft one"
        assert self.stems_range is None or 0 < self.stems_range[0] <= self.stems_range[1], "a range of stems rises"

    @property
    def field_life(self) -> FieldLife:
        """How long its ready stems may be cut, and in which stages."""
        return FieldLife(self.stand_days, self.stages)


def lengths_text(lengths: tuple[LengthShare, ...]) -> str:
    """The text of length shares, as `lengths_from_text` reads it."""
    return "|".join(f"{item.length_cm}:{item.share:.10g}" for item in lengths)


def lengths_from_text(text: str, *, where: str = "lengths") -> tuple[LengthShare, ...]:
    """Length shares from text such as `30:0.3|40:0.5|50:0.2`, shortest first.

    Raises:
        NotAccepted: a part is not `cm:share`, a length repeats or falls, or the shares do not add up to 1.
    """
    refused = NotAccepted(where=where, found=f"'{text}'", accepted=_(LENGTHS_SENTENCE))
    shares: list[LengthShare] = []
    for part in text.split("|"):
        length, _colon, share = part.partition(":")
        if not (length.isascii() and length.isdigit() and len(length) <= 4):
            raise refused
        try:
            shares.append(LengthShare(int(length), float(share)))
        except ValueError:
            raise refused from None
    rising = all(a.length_cm < b.length_cm for a, b in itertools.pairwise(shares))
    if not rising or not all(0 < item.share <= 1 for item in shares):
        raise refused
    # Decimals add up only as far as floating point goes: ten times 0.1 is a hair off 1.
    if abs(sum(item.share for item in shares) - 1) > 1e-6:
        raise refused
    return tuple(shares)


def stages_text(stages: tuple[Stage, ...]) -> str:
    """The text of stages, as `stages_from_text` reads it."""
    return "|".join(f"{s.name}:{s.colour}:{s.from_day}-{s.to_day}" for s in stages)


def stages_from_text(text: str, *, where: str = "stages") -> tuple[Stage, ...]:
    """Stages from text such as `young:cream:0-4|mature:tan:5-12`.

    Raises:
        NotAccepted: a part is not `name:colour:from-to`, or a name repeats.
    """
    refused = NotAccepted(where=where, found=f"'{text}'", accepted=_(STAGES_SENTENCE))
    stages: list[Stage] = []
    for part in text.split("|"):
        pieces = [piece.strip() for piece in part.split(":")]
        if len(pieces) != 3 or not all(pieces):
            raise refused
        first, dash, last = pieces[2].partition("-")
        digits = first.isascii() and first.isdigit() and last.isascii() and last.isdigit()
        if not (dash and digits and len(first) <= 3 and len(last) <= 3) or int(first) > int(last):
            raise refused
        stages.append(Stage(pieces[0], pieces[1], int(first), int(last)))
    if len({stage.name for stage in stages}) != len(stages):
        raise refused
    return tuple(stages)
