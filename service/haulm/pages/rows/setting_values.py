"""The farm's settings as the text of fields, and back into the values of a farm.toml, which says what is wrong."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Any

from haulm.farm.faults import Fault
from haulm.farm.site import Site, SowingSeason
from haulm.farm_folder.kinds import number_text
from haulm.farm_folder.settings import (
    COST_SETTINGS,
    FORMAT,
    FROST_SETTINGS,
    LEVEL_SETTINGS,
    MINUTES_SETTING,
    PAPER_SETTINGS,
    PRICE_SETTINGS,
    QUOTE_SETTINGS,
    SEASON_GROUPS,
    SEASON_SETTINGS,
    SITE_SETTINGS,
    TEMPERATURE_SETTINGS,
    Setting,
)
from haulm.farm_folder.site_file import site_from_document

MINUTES = f"quotes.{MINUTES_SETTING.name}"
_TABLES: Mapping[str, Sequence[Setting]] = {
    "": SITE_SETTINGS,
    "levels": LEVEL_SETTINGS,
    "frost": FROST_SETTINGS,
    "temperatures": TEMPERATURE_SETTINGS,
    **{f"seasons.{group}": SEASON_SETTINGS for group in SEASON_GROUPS},
    "prices": PRICE_SETTINGS,
    "costs": COST_SETTINGS,
    "quotes": QUOTE_SETTINGS,
    "papers": PAPER_SETTINGS,
}
_NUMBER = re.compile(r"-?\d{1,10}(\.\d{1,17})?", re.ASCII)
_WHOLE = re.compile(r"-?\d{1,10}", re.ASCII)
_TEXTS = ("cut_days", "digest_days", "work_days", "class_order", "costs.plug_kinds")
_TICKED = ("cut_days", "digest_days", "work_days")
"""Where nothing is ticked nothing is meant, and not the default."""
_NUMBERS = ("temperatures.min_c", "temperatures.max_c")


def setting_paths() -> tuple[str, ...]:
    """Every setting of farm.toml by its table and name, in canonical order."""
    named = [f"{table}.{one.name}" if table else one.name for table, found in _TABLES.items() for one in found]
    return (*named, MINUTES)


def settings_by_path() -> Mapping[str, Setting]:
    """The settings by their table and name, apart from the minutes by piece."""
    return {f"{table}.{one.name}" if table else one.name: one for table, found in _TABLES.items() for one in found}


def cells_of_site(site: Site) -> dict[str, str]:
    """The text of every setting of a farm; nothing where the farm says none."""
    found: dict[str, str] = {}
    for table, settings in _TABLES.items():
        noun = _noun(site, table)
        for setting in settings:
            name = f"{table}.{setting.name}" if table else setting.name
            found[name] = "" if noun is None else _text(getattr(noun, setting.name))
    found[MINUTES] = "\n".join(f"{piece} {minutes}" for piece, minutes in site.quotes.minutes.items())
    return found


def site_from_cells(cells: Mapping[str, str]) -> tuple[Site | None, tuple[Fault, ...]]:
    """The settings that the text of fields says, or what is wrong with them; an empty field is left to its default."""
    document: dict[str, Any] = {"format": FORMAT}
    for name, cell in cells.items():
        if (cell or name in _TICKED) and name != MINUTES:
            _put(document, name, _value(name, cell))
    for piece, minutes in _minutes(cells.get(MINUTES, "")):
        _put(document, f"{MINUTES}.{piece}", minutes, depth=2)
    return site_from_document(document)


def _noun(site: Site, table: str) -> Any:
    """What holds the settings of a table: the site, a part of it, or nothing."""
    head, _dot, group = table.partition(".")
    if group:
        return site.seasons.get(group, SowingSeason())
    return getattr(site, head) if head else site


def _text(value: Any) -> str:
    if value is None or value == ():
        return ""
    if isinstance(value, tuple):
        parts: Sequence[Any] = tuple(value)  # pyright: ignore[reportUnknownArgumentType]
        return "|".join(number_text(one) if isinstance(one, int | float) else str(one) for one in parts)
    if isinstance(value, int | float) and not isinstance(value, StrEnum):
        return number_text(value)
    return str(value)


def _value(name: str, cell: str) -> Any:
    """A text as TOML would have it; what is no number stays text, and is refused by its setting."""
    if name in _TEXTS:
        return cell.split("|") if cell else []
    if name in _NUMBERS:
        return [_number(part) for part in cell.split("|")]
    return _number(cell) if _is_number(name) else cell


def _is_number(name: str) -> bool:
    return "number" in settings_by_path()[name].accepted.split(";")[0]


def _number(text: str) -> int | float | str:
    if _WHOLE.fullmatch(text):
        return int(text)
    return float(text) if _NUMBER.fullmatch(text) else text


def _put(document: dict[str, Any], name: str, value: Any, *, depth: int | None = None) -> None:
    *tables, last = name.split(".") if depth is None else name.split(".", depth)
    at = document
    for table in tables:
        at = at.setdefault(table, {})
    at[last] = value


def _minutes(cell: str) -> Iterator[tuple[str, int | str]]:
    """Each piece with its minutes; a line that is not one stays as it was typed, and is refused."""
    for line in cell.splitlines():
        piece, _blank, minutes = line.strip().rpartition(" ")
        yield (piece, int(minutes)) if piece and _WHOLE.fullmatch(minutes) else (line.strip(), line.strip())
