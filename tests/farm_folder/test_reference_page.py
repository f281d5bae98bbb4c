"""The reference page of the farm folder says what the code does: every file, column, unit, default and limit."""

import dataclasses

import pytest

from haulm.farm.costs import CostRules
from haulm.farm.site import ClassLevels, Letterhead, PriceRules, QuoteRules, Site, SowingSeason
from haulm.farm_folder.column import Column, FileSpec
from haulm.farm_folder.columns import FILES
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
from support.project_tree import ROOT

PAGE = (ROOT / "docs/reference/farm-folder.md").read_text(encoding="utf-8")


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


@pytest.mark.parametrize("spec", FILES, ids=lambda spec: spec.collection)
def test_the_page_has_every_column_with_its_meaning_limits_and_default(spec: FileSpec) -> None:
    section = PAGE.partition(f"\n## {spec.name}\n")[2].partition("\n## ")[0]

    rows = [line for line in section.splitlines() if line.startswith(("| `", "| **"))]

    assert rows == [column_row(spec, column) for column in spec.columns]


def test_the_page_has_every_setting_with_its_meaning_limits_and_default() -> None:
    section = PAGE.partition("\n## farm.toml\n")[2].partition("\n## ")[0]

    assert [line for line in section.splitlines() if line.startswith(("| `", "| **"))] == setting_rows()


@pytest.mark.parametrize(
    ("noun", "settings"),
    [
        (PriceRules, PRICE_SETTINGS),
        (CostRules, COST_SETTINGS),
        (Letterhead, PAPER_SETTINGS),
        (ClassLevels, LEVEL_SETTINGS),
        (SowingSeason, SEASON_SETTINGS),
        (Site, SITE_SETTINGS),
    ],
)
def test_every_field_of_the_site_has_a_setting_or_a_table(noun: type, settings: tuple[Setting, ...]) -> None:
    tables = (
        {"levels", "frost", "temperatures", "seasons", "prices", "quotes", "costs", "papers"} if noun is Site else set()
    )

    assert {setting.name for setting in settings} | tables == {field.name for field in dataclasses.fields(noun)}
