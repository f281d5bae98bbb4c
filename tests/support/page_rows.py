"""The rows of tables on pages of reference as the code has them: tests compare them, `rows_again.py` prints them."""

from __future__ import annotations

import csv
from collections.abc import Iterator

from haulm.crop_library.defaults import BY_HABIT, BY_LIFE_CYCLE, FOR_EVERY_KIND
from haulm.crop_library.library_crop import MEASURED, WHOLE, Sourced, packaged_text
from haulm.farm.costs import CostRules
from haulm.farm.site import ClassLevels, Letterhead, PriceRules, QuoteRules, Site
from haulm.farm_folder.column import Column, FileSpec
from haulm.farm_folder.settings import (
    COST_SETTINGS,
    FROST_SETTINGS,
    LEVEL_SETTINGS,
    PAPER_SETTINGS,
    PRICE_SETTINGS,
    QUOTE_SETTINGS,
    SEASON_SETTINGS,
    SITE_SETTINGS,
    TEMPERATURE_SETTINGS,
    Setting,
)
from haulm.jobs.journal.kinds import KINDS

OF_A_LIFE_CYCLE = ("kill_c", "soft_c", "hardened_c", "base_c", "harden_days")
OF_A_HABIT = ("stand_days", "harvest_weeks", "stems_per_plant")


def column_row(spec: FileSpec, column: Column) -> str:
    """The row of a column in the table of its file."""
    name = f"`{column.name}`"
    if column.name in spec.required:
        return table_row(f"**{name}**", column.meaning, column.kind.accepted, "must be given")
    default = spec.defaults[column.name]
    shown = column.otherwise if default in (None, (), "") else column.kind.text(default)
    return table_row(name, column.meaning, column.kind.accepted, shown)


def setting_row(setting: Setting, default: str) -> str:
    """The row of a setting in its table."""
    name = f"`{setting.name}`"
    return table_row(f"**{name}**" if default == "must be given" else name, setting.meaning, setting.accepted, default)


def table_row(*cells: str) -> str:
    """A row of a table as the page has it."""
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def default_text(noun: object, setting: Setting, none: str = "") -> str:
    """The default of a setting as TOML has it, or what stands for it where there is none."""
    default = getattr(noun, setting.name)
    return none if default is None else setting.toml(default)


def setting_rows() -> list[str]:
    """The rows of all settings, in the order of the page."""
    site, prices = Site("", 0.0), PriceRules()
    rows = [setting_row(setting, "must be given") for setting in SITE_SETTINGS[:2]]
    rows += [setting_row(setting, default_text(site, setting, "levels by class")) for setting in SITE_SETTINGS[2:]]
    rows += [setting_row(setting, default_text(ClassLevels(), setting)) for setting in LEVEL_SETTINGS]
    rows += [setting_row(setting, "must be given") for setting in (*FROST_SETTINGS, *TEMPERATURE_SETTINGS)]
    rows += [setting_row(setting, "by frost and daylight") for setting in SEASON_SETTINGS]
    rows += [setting_row(setting, setting.toml(getattr(prices, setting.name))) for setting in PRICE_SETTINGS]
    rows += [setting_row(setting, setting.toml(getattr(QuoteRules(), setting.name))) for setting in QUOTE_SETTINGS]
    rows += [setting_row(setting, default_text(CostRules(), setting, "a starting figure")) for setting in COST_SETTINGS]
    return rows + [setting_row(setting, default_text(Letterhead(), setting)) for setting in PAPER_SETTINGS]


def library_rows() -> Iterator[str]:
    """The rows of the page about the crop library: how many values there are by origin, and every default."""
    yield table_row("all values", *_counts(None))
    yield table_row("figures alone", *_counts({*WHOLE, *MEASURED}))
    for cycle in BY_LIFE_CYCLE["kill_c"]:
        yield table_row(f"`{cycle}`", *(f"{BY_LIFE_CYCLE[column][cycle]:g}" for column in OF_A_LIFE_CYCLE))
    for habit in BY_HABIT["stand_days"]:
        yield table_row(f"`{habit}`", *(f"{BY_HABIT[column][habit]:g}" for column in OF_A_HABIT))
    for field, default in FOR_EVERY_KIND.items():
        value = {None: "keeps", False: "no"}.get(default.value, default.value)  # type: ignore[call-overload]
        yield table_row(f"`{field}`", f"{value:g}" if isinstance(value, float) else str(value), default.origin)


def _counts(columns: set[str] | None) -> list[str]:
    """Values in all, from memory, common practice, and from sources."""
    provenance = list(csv.DictReader(packaged_text("provenance.csv").splitlines()))
    origins = [Sourced(row["source"]).origin for row in provenance if columns is None or row["column"] in columns]
    memory, practice = origins.count("from memory"), origins.count("common practice")
    return [f"{number:,}" for number in (len(origins), memory, practice, len(origins) - memory - practice)]


def kind_rows() -> list[str]:
    """The rows of the kinds of the journal's entries: what each says, and why it is never taken back."""
    quiet = "noted by the service for itself"
    return [
        table_row(f"`{name}`", kind.words, kind.why_not or "yes", quiet if kind.is_quiet else "")
        for name, kind in sorted(KINDS.items())
    ]
