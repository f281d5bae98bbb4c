"""One kind in the crop library, and how its table, its provenance and its sources are read and checked.

A fault in these files is a programmer's mistake, so it is an AssertionError that names the row and the column.
How a farm's variety meets the library is not decided here.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources

from haulm.farm.products import KEY
from haulm.farm.stated import ColdNeed, ReferenceClimate
from haulm.farm.words import Habit, LifeCycle, Method, Role
from haulm.horticulture.nearest_climate import KnownClimate, Spot

COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"
_OPENED = "opened"
SOURCE_ID = re.compile(r"\bS\d+[a-z]?\b", re.ASCII)
MONTH_DAY = re.compile(r"(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])", re.ASCII)

WORDS = (
    "name",
    "botanical_name",
    "synonyms",
    "life_cycle",
    "role",
    "habit",
    "methods",
    "weeks_counted_from",
    "stated_in",
    "grows_from",
    "caution",
    "weed_note",
    "handling",
)
YES_NO = ("dries", "food_use")
WHOLE = {
    "seeds_per_place": (1, 50),
    "harden_days": (0, 30),
    "hold_days": (1, 60),
    "stand_days": (0, 60),
    "dry_days": (1, 60),
    "dried_keep_days": (1, 3650),
    "bunch_stems": (1, 100),
}
"""Least and greatest believable whole numbers, days or counts (common practice)."""

MEASURED = {
    "weeks_to_flower": (4.0, 60.0),
    "harvest_weeks": (0.5, 30.0),
    "stems_low": (0.5, 60.0),
    "stems_high": (0.5, 60.0),
    "stems_per_plant": (0.5, 60.0),
    "germination_pct": (1.0, 100.0),
    "germination_days": (1.0, 120.0),
    "weeks_to_plant_out": (0.0, 20.0),
    "kill_c": (-40.0, 5.0),
    "soft_c": (-15.0, 5.0),
    "hardened_c": (-45.0, 5.0),
    "base_c": (-2.0, 15.0),
    "chill_days": (1.0, 200.0),
    "heat_end_c": (20.0, 45.0),
    "min_daylength_h": (6.0, 16.0),
    "spacing_cm": (1.0, 200.0),
    "row_cm": (1.0, 300.0),
}
"""Least and greatest believable measures: weeks, stems, percent, days, deg C, hours, cm (common practice)."""

COLUMNS = frozenset({"key", *WORDS, *YES_NO, *WHOLE, *MEASURED})
MAY_BE_EMPTY = frozenset(
    {
        *("synonyms", "min_daylength_h", "dry_days", "dried_keep_days", "caution", "weed_note", "handling"),
        *("soft_c", "hardened_c"),
        *("chill_days", "grows_from", "heat_end_c"),
    }
)


@dataclass(frozen=True, slots=True)
class Sourced:
    """Where one value comes from: a source id, `common practice`, `from memory`, or `derived: ...` naming these.

    Two ids joined by `+` are a sum of two figures.
    """

    source: str
    note: str = ""

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of the published sources named, in order, each once."""
        return tuple(dict.fromkeys(SOURCE_ID.findall(self.source)))

    @property
    def origin(self) -> str:
        """The weakest part of the source: a value half from memory is from memory."""
        for weak in (FROM_MEMORY, COMMON_PRACTICE):
            if weak in self.source:
                return weak
        return ", ".join(self.ids)


@dataclass(frozen=True, slots=True)
class LibraryCrop:
    """One kind: starting figures in the units of `Variety`, and per column where each comes from.

    weeks_counted_from is the month and day from which weeks_to_flower count, in the reference climate stated_in: that
    of a middling sowing, 1 March for established perennials. chill_days are the days of full cold that the kind needs
    before it grows from grows_from on; heat_end_c [deg C] the mean maximum of two weeks that ends its cutting. base_c
    [deg C] is the warmth below which the kind makes no progress, min_daylength_h [h] the daylight below which growth
    slows. soft_c and hardened_c [deg C] are the crown temperatures that kill half of the plants, soft and hardened by
    the cold; None for kinds that no winter spares. caution is of harm alone; weed_note says where the kind spreads,
    handling how its stems want to be treated.
    """

    key: str
    name: str
    botanical_name: str
    synonyms: tuple[str, ...]
    life_cycle: LifeCycle
    role: Role
    habit: Habit
    methods: tuple[Method, ...]
    weeks_to_flower: float
    weeks_counted_from: str
    stated_in: str
    harvest_weeks: float
    stems_low: float
    stems_high: float
    stems_per_plant: float
    germination_pct: float
    germination_days: float
    seeds_per_place: int
    weeks_to_plant_out: float
    harden_days: int
    kill_c: float
    soft_c: float | None
    hardened_c: float | None
    base_c: float
    chill_days: float | None
    grows_from: str | None
    heat_end_c: float | None
    min_daylength_h: float | None
    spacing_cm: float
    row_cm: float
    hold_days: int
    stand_days: int
    dries: bool
    dry_days: int | None
    dried_keep_days: int | None
    bunch_stems: int
    food_use: bool
    caution: str | None
    weed_note: str | None
    handling: str | None
    sources: Mapping[str, Sourced]

    @property
    def counted_from(self) -> tuple[int, int]:
        """The month and day of `weeks_counted_from`."""
        return _month_day(self.weeks_counted_from)

    @property
    def cold(self) -> ColdNeed | None:
        """What the kind needs of winter; None where it needs none."""
        if self.chill_days is None or self.grows_from is None:
            return None
        return ColdNeed(self.chill_days, _month_day(self.grows_from))

    def __post_init__(self) -> None:
        assert KEY.fullmatch(self.key), f"{self.key}: not a key"
        assert self.stems_low <= self.stems_per_plant <= self.stems_high, f"{self.key}: stems out of order"
        assert MONTH_DAY.fullmatch(self.weeks_counted_from), f"{self.key}: weeks_counted_from is not MM-DD"
        assert (self.soft_c is None) == (self.hardened_c is None), f"{self.key}: one of soft_c and hardened_c"
        assert self.soft_c is None or (self.hardened_c or 0) <= self.soft_c, f"{self.key}: hardened_c above soft_c"
        assert (self.chill_days is None) == (self.grows_from is None), f"{self.key}: chill_days without grows_from"
        assert MONTH_DAY.fullmatch(self.grows_from or "01-01"), f"{self.key}: grows_from is not MM-DD"
        assert self.methods, f"{self.key}: no method"
        assert self.dries == (self.dry_days is not None), f"{self.key}: dry_days stands exactly where the kind dries"


def library_crops(crops: str, provenance: str) -> dict[str, LibraryCrop]:
    """The kinds in the text of a table of crops, each value matched to its one row of provenance, by key.

    Raises:
        AssertionError: a column, value or key is wrong, or a value and its provenance do not match one to one.
    """
    rows = list(csv.DictReader(crops.splitlines()))
    sourced = _provenance(provenance)
    for (key, column), (value, _) in sourced.items():
        assert any(row["key"] == key for row in rows), f"provenance: no kind '{key}'"
        assert column in COLUMNS - {"key"}, f"provenance: {key} has no column '{column}'"
        assert value, f"provenance: {key} {column} is empty"
    found: dict[str, LibraryCrop] = {}
    for row in rows:
        key = row["key"]
        assert set(row) == COLUMNS, f"crops: columns differ by {set(row) ^ COLUMNS}"
        assert key not in found, f"crops: '{key}' stands twice"
        for column in COLUMNS - {"key"}:
            in_provenance = sourced.get((key, column), ("", None))[0]
            assert row[column] == in_provenance, f"{key} {column}: '{row[column]}' but provenance '{in_provenance}'"
        found[key] = _library_crop(row, {c: s for (k, c), (_, s) in sourced.items() if k == key})
    return found


def citations(sources: str) -> dict[str, str]:
    """Citations by source id, from the text of a table of sources.

    Raises:
        AssertionError: an id is malformed or stands twice, or a citation is empty.
    """
    found: dict[str, str] = {}
    for row in csv.DictReader(sources.splitlines()):
        assert SOURCE_ID.fullmatch(row["id"]) and row["id"] not in found, f"sources: '{row['id']}'"
        assert row["citation"], f"sources: {row['id']} has no citation"
        found[row["id"]] = row["citation"]
    return found


def botanical_names(kind: LibraryCrop) -> tuple[str, ...]:
    """The botanical names of a kind, older ones too, as they are compared."""
    return tuple(plain_name(name) for name in (kind.botanical_name, *kind.synonyms))


def plain_name(botanical_name: str) -> str:
    """A botanical name as it is compared: whatever its case, its spaces and its sign of a hybrid."""
    return " ".join(botanical_name.replace("\N{MULTIPLICATION SIGN}", " x ").casefold().split())


def reference_climates(climates: str) -> dict[str, ReferenceClimate]:
    """The climates for which figures may be stated, by key: those of the north, from the text of `climates.csv`.

    Raises:
        AssertionError: a key stands twice, or a climate has no source.
    """
    return {
        one.key: ReferenceClimate(one.name, one.spot.latitude_deg, one.min_c, one.max_c)
        for one in known_climates(climates)
        if one.spot.latitude_deg > 0
    }


def known_climates(climates: str) -> tuple[KnownClimate, ...]:
    """Every climate of the text of `climates.csv`, in its order.

    Raises:
        AssertionError: a key stands twice, a climate has no source, or nobody says whether it was opened.
    """
    found: dict[str, KnownClimate] = {}
    for row in csv.DictReader(climates.splitlines()):
        key = row["climate"]
        assert KEY.fullmatch(key) and key not in found, f"climates: '{key}'"
        assert row["source"], f"climates: {key} has no source"
        assert row["seen"] in (_OPENED, FROM_MEMORY), f"climates: {key} is neither opened nor from memory"
        low, high = (tuple(float(row[f"{end}_{month}"]) for month in range(1, 13)) for end in ("min", "max"))
        spot = Spot(*(float(row[name]) for name in ("latitude_deg", "longitude_deg", "height_m", "sea_km")))
        found[key] = KnownClimate(key, row["place"], spot, low, high, row["seen"] == _OPENED, row["source"])
    return tuple(found.values())


def packaged_text(name: str) -> str:
    """The text of one of the library's own tables: crops.csv, climates.csv, provenance.csv or sources.csv."""
    return (resources.files("haulm.crop_library") / name).read_text(encoding="utf-8")


def _month_day(text: str) -> tuple[int, int]:
    month, day = text.split("-")
    return int(month), int(day)


def _provenance(text: str) -> dict[tuple[str, str], tuple[str, Sourced]]:
    found: dict[tuple[str, str], tuple[str, Sourced]] = {}
    for row in csv.DictReader(text.splitlines()):
        place = (row["key"], row["column"])
        assert place not in found, f"provenance: {place} stands twice"
        sourced = Sourced(row["source"], row["note"])
        assert sourced.origin, f"provenance: {place} has no source"
        found[place] = (row["value"], sourced)
    return found


def _library_crop(row: Mapping[str, str], sources: Mapping[str, Sourced]) -> LibraryCrop:
    for column in COLUMNS - MAY_BE_EMPTY:
        assert row[column], f"{row['key']} {column}: empty"
    whole = {c: _number(row, c, *bounds) for c, bounds in WHOLE.items()}
    measured = {c: _number(row, c, *bounds) for c, bounds in MEASURED.items()}
    for column, number in whole.items():
        assert number is None or number.is_integer(), f"{row['key']} {column}: not a whole number"
    for column in YES_NO:
        assert row[column] in ("yes", "no"), f"{row['key']} {column}: neither yes nor no"
    values: dict[str, object] = {
        **{c: None if n is None else int(n) for c, n in whole.items()},
        **measured,
        **{c: row[c] == "yes" for c in YES_NO},
        **{c: row[c] for c in ("key", "name", "botanical_name", "weeks_counted_from", "stated_in")},
        "synonyms": tuple(row["synonyms"].split("|")) if row["synonyms"] else (),
        **{c: row[c] or None for c in ("caution", "weed_note", "handling", "grows_from")},
        "sources": sources,
    }
    try:
        values |= {"life_cycle": LifeCycle(row["life_cycle"]), "role": Role(row["role"]), "habit": Habit(row["habit"])}
        values["methods"] = tuple(Method(word) for word in row["methods"].split("|"))
    except ValueError as error:
        raise AssertionError(f"{row['key']}: {error}") from None
    return LibraryCrop(**values)  # type: ignore[arg-type]


def _number(row: Mapping[str, str], column: str, least: float, greatest: float) -> float | None:
    if row[column] == "":
        return None
    try:
        number = float(row[column])
    except ValueError:
        raise AssertionError(f"{row['key']} {column}: '{row[column]}' is not a number") from None
    assert least <= number <= greatest, f"{row['key']} {column}: {row[column]} is outside {least:g} to {greatest:g}"
    return number
