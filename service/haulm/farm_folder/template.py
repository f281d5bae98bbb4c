"""A farm folder to fill in: every file with its header, and a farm.toml that says what may be set."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from haulm.farm.costs import CostRules
from haulm.farm.site import (
    ClassLevels,
    FrostDates,
    Letterhead,
    MonthDay,
    MonthlyTemperatures,
    PriceRules,
    Site,
    SowingSeason,
)
from haulm.farm_folder.columns import FILES, SITE_FILE
from haulm.farm_folder.settings import (
    COST_SETTINGS,
    FORMAT,
    FROST_SETTINGS,
    LEVEL_SETTINGS,
    PAPER_SETTINGS,
    PRICE_SETTINGS,
    SEASON_GROUPS,
    SEASON_SETTINGS,
    SITE_SETTINGS,
    TEMPERATURE_SETTINGS,
    Setting,
)
from haulm.farm_folder.writer import place_files, table_bytes

_SITE = Site("My farm", 52.0)
_FROST = FrostDates(*(MonthDay(*day) for day in ((4, 10), (4, 28), (5, 15), (9, 25), (10, 12), (11, 2))))
_MONTHS = MonthlyTemperatures(
    min_c=(1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2), max_c=(7, 8, 10, 13, 17, 20, 22, 22, 19, 14, 10, 8)
)
_SEASONS = {
    "hardy": SowingSeason(MonthDay(3, 10), MonthDay(9, 30), MonthDay(6, 1)),
    "half_hardy": SowingSeason(MonthDay(5, 10), MonthDay(6, 30), MonthDay(6, 15)),
}
"""Example figures of an invented farm in a mild maritime climate (from memory); they stand in comments only."""


def write_template(folder: Path) -> None:
    """Write a folder that imports as it is and shows every file, column and setting.

    Raises:
        FolderNotWritten: the folder is not empty, or the disk refuses.
    """
    place_files(template_texts(), folder, may_replace=False)


def template_texts() -> dict[str, bytes]:
    """The files of the template by name."""
    return {SITE_FILE: site_template().encode(), **{spec.name: table_bytes(spec, ()) for spec in FILES}}


def site_template() -> str:
    """A farm.toml whose defaults and examples stand in comments: take away the `# ` to set them."""
    lines = [
        "# The farm. Change name and latitude; take the '# ' from a line to set something else than what it shows.",
        "# Files without rows may be deleted.",
        "",
        f"format = {FORMAT}",
        *_explained(_SITE, SITE_SETTINGS, uncommented=("name", "latitude")),
    ]
    for title, noun, settings in (
        ("levels", ClassLevels(), LEVEL_SETTINGS),
        ("frost", _FROST, FROST_SETTINGS),
        ("temperatures", _MONTHS, TEMPERATURE_SETTINGS),
        *((f"seasons.{group}", _SEASONS[group], SEASON_SETTINGS) for group in SEASON_GROUPS),
        ("prices", PriceRules(), PRICE_SETTINGS),
        ("costs", CostRules(), COST_SETTINGS),
        ("papers", Letterhead(), PAPER_SETTINGS),
    ):
        lines += ["", f"# [{title}]", *_explained(noun, settings)]
    return "\n".join(lines) + "\n"


def _explained(noun: object, settings: Sequence[Setting], *, uncommented: tuple[str, ...] = ()) -> Iterator[str]:
    for setting in settings:
        if getattr(noun, setting.name) is None:
            yield f"## {setting.name}: {setting.meaning}; {setting.accepted}; absent, there is none"
            continue
        yield f"## {setting.meaning}; {setting.accepted}"
        mark = "" if setting.name in uncommented else "# "
        yield f"{mark}{setting.name} = {setting.toml(getattr(noun, setting.name))}"
