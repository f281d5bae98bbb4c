"""The reference page of the farm folder says what the code does: every file, column, unit, default and limit."""

import dataclasses

import pytest

from haulm.farm.costs import CostRules
from haulm.farm.site import ClassLevels, Letterhead, PriceRules, Site, SowingSeason
from haulm.farm_folder.column import FileSpec
from haulm.farm_folder.columns import FILES
from haulm.farm_folder.settings import (
    COST_SETTINGS,
    LEVEL_SETTINGS,
    PAPER_SETTINGS,
    PRICE_SETTINGS,
    SEASON_SETTINGS,
    SITE_SETTINGS,
    Setting,
)
from support.page_rows import column_row, setting_rows
from support.project_tree import ROOT

PAGE = (ROOT / "docs/reference/farm-folder.md").read_text(encoding="utf-8")


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
