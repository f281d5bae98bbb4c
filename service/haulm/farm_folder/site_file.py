"""farm.toml: read into a Site with every fault collected, and written in one canonical way."""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from haulm.errors import NotAccepted
from haulm.farm.costs import CostRules
from haulm.farm.faults import Fault, quoted
from haulm.farm.site import (
    ClassLevels,
    FrostDates,
    Letterhead,
    MonthlyTemperatures,
    PriceRules,
    QuoteRules,
    Site,
    SowingSeason,
)
from haulm.farm.site_checks import ONE_OR_THE_OTHER, site_faults
from haulm.farm_folder.columns import SITE_FILE
from haulm.farm_folder.faults import FolderRefused
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
    parsed,
    toml_string,
    toml_value,
)
from haulm.farm_folder.tables import text_from_bytes

_TABLES = ("levels", "frost", "temperatures", "seasons", "prices", "quotes", "costs", "papers")
_REQUIRED = ("name", "latitude")


def site_from_bytes(content: bytes) -> tuple[Site | None, tuple[Fault, ...]]:
    """The site in a farm.toml and its faults; no site where there are any."""
    text = text_from_bytes(SITE_FILE, content)
    if isinstance(text, Fault):
        return None, (text,)
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        return None, (Fault(SITE_FILE, None, None, f"no TOML ({error})", "a TOML document"),)
    return site_from_document(document)


def document_from_bytes(content: bytes) -> Mapping[str, Any]:
    """The values of a farm.toml that has no faults, as it says them."""
    text = text_from_bytes(SITE_FILE, content)
    assert isinstance(text, str), "the file was read before"
    return tomllib.loads(text)


def site_beside(site: Site, document: Mapping[str, Any]) -> Site:
    """A farm's site with what another farm.toml says; what that leaves out stays.

    Raises:
        FolderRefused: together they say what cannot be.
    """
    own = tomllib.loads(site_text(site))
    tables = {name: {**own.get(name, {}), **document[name]} for name in _TABLES if isinstance(document.get(name), dict)}
    found, faults = site_from_document({**own, **document, **tables})
    if found is None:
        raise FolderRefused(faults=faults)
    return found


def site_from_document(document: Mapping[str, Any]) -> tuple[Site | None, tuple[Fault, ...]]:
    """The site that the values of a farm.toml say, and its faults; no site where there are any."""
    reading = _Reading()
    site = reading.site(document)
    if site is None or reading.faults:
        return None, tuple(reading.faults)
    faults = tuple(dataclasses.replace(fault, place=SITE_FILE) for fault in site_faults(site))
    return (None if faults else site), faults


def site_text(site: Site) -> str:
    """The canonical farm.toml of a site: what is not a default, in the order of the settings."""
    blank = Site(site.name, site.latitude)
    lines = [f"format = {FORMAT}", *setting_lines(site, blank, SITE_SETTINGS, always=_REQUIRED)]
    if site.levels != ClassLevels():
        lines += ["", "[levels]", *setting_lines(site.levels, ClassLevels(), LEVEL_SETTINGS)]
    if site.frost is not None:
        lines += ["", "[frost]", *setting_lines(site.frost, None, FROST_SETTINGS)]
    if site.temperatures is not None:
        lines += ["", "[temperatures]", *setting_lines(site.temperatures, None, TEMPERATURE_SETTINGS)]
    lines += _season_lines(site)
    if site.prices != PriceRules():
        lines += ["", "[prices]", *setting_lines(site.prices, PriceRules(), PRICE_SETTINGS)]
    lines += _quote_lines(site.quotes)
    if site.costs != CostRules():
        lines += ["", "[costs]", *setting_lines(site.costs, CostRules(), COST_SETTINGS)]
    if site.papers != Letterhead():
        lines += ["", "[papers]", *setting_lines(site.papers, Letterhead(), PAPER_SETTINGS)]
    return "\n".join(lines) + "\n"


def _season_lines(site: Site) -> Iterator[str]:
    for group in SEASON_GROUPS:
        own = list(setting_lines(site.seasons.get(group, SowingSeason()), SowingSeason(), SEASON_SETTINGS))
        if own:
            yield from ("", f"[seasons.{group}]", *own)


def _quote_lines(quotes: QuoteRules) -> Iterator[str]:
    own = list(setting_lines(quotes, QuoteRules(), QUOTE_SETTINGS))
    if own:
        yield from ("", "[quotes]", *own)
    if quotes.minutes:
        yield from ("", "[quotes.minutes]")
        yield from (f"{toml_string(piece)} = {minutes}" for piece, minutes in quotes.minutes.items())


def setting_lines(
    noun: object, defaults: object | None, settings: Sequence[Setting], *, always: tuple[str, ...] = ()
) -> Iterator[str]:
    """A line of TOML for each setting of a noun that differs from its default, or for all where there are none."""
    for setting in settings:
        value = getattr(noun, setting.name)
        if defaults is None or setting.name in always or value != getattr(defaults, setting.name):
            yield f"{setting.name} = {setting.toml(value)}"


class _Reading:
    """One reading of a farm.toml: values come out, faults are collected."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def site(self, document: Mapping[str, Any]) -> Site | None:
        if document.get("format") != FORMAT or isinstance(document.get("format"), bool):
            found = toml_value(document["format"]) if "format" in document else "nothing"
            self._fault("format", found, f"{FORMAT}, the number of this format")
        plain = {name: value for name, value in document.items() if name not in ("format", *_TABLES)}
        known = ("format", *(setting.name for setting in SITE_SETTINGS), *_TABLES)
        values = self._values("", plain, SITE_SETTINGS, known)
        for name in _REQUIRED:
            if name not in document:
                accepted = next(setting.accepted for setting in SITE_SETTINGS if setting.name == name)
                self._fault(name, "nothing", accepted)
        values["levels"] = ClassLevels(**self._values("levels.", self._table(document, "levels"), LEVEL_SETTINGS))
        if "levels" in document and "default_confidence" in document:
            self._fault("levels", "levels by class beside default_confidence", ONE_OR_THE_OTHER)
        values["frost"] = self._whole_table(document, "frost", FROST_SETTINGS, FrostDates)
        values["temperatures"] = self._whole_table(document, "temperatures", TEMPERATURE_SETTINGS, MonthlyTemperatures)
        values["seasons"] = self._seasons(document)
        values["prices"] = PriceRules(**self._values("prices.", self._table(document, "prices"), PRICE_SETTINGS))
        values["costs"] = CostRules(**self._values("costs.", self._table(document, "costs"), COST_SETTINGS))
        values["papers"] = Letterhead(**self._values("papers.", self._table(document, "papers"), PAPER_SETTINGS))
        values["quotes"] = self._quotes(self._table(document, "quotes"))
        return None if self.faults else Site(**values)

    def _quotes(self, table: Mapping[str, Any]) -> QuoteRules:
        known = (*(setting.name for setting in QUOTE_SETTINGS), MINUTES_SETTING.name)
        plain = {name: value for name, value in table.items() if name != MINUTES_SETTING.name}
        values = self._values("quotes.", plain, QUOTE_SETTINGS, known)
        minutes: dict[str, int] = {}
        for piece, value in self._table(table, MINUTES_SETTING.name).items():
            try:
                minutes[piece.strip()] = parsed(MINUTES_SETTING, value)
            except NotAccepted as refusal:
                self._fault(f"quotes.minutes.{piece}", refusal.found, refusal.accepted)
        return QuoteRules(**values, minutes=minutes)

    def _whole_table(
        self, document: Mapping[str, Any], name: str, settings: Sequence[Setting], noun: type[Any]
    ) -> Any | None:
        """The noun of a table that is given whole or not at all."""
        if name not in document:
            return None
        table = self._table(document, name)
        if table is not document[name]:
            return None
        values = self._values(f"{name}.", table, settings)
        for setting in settings:
            if setting.name not in table:
                accepted = f"{setting.accepted}; [{name}] is given whole or not at all"
                self._fault(f"{name}.{setting.name}", "nothing", accepted)
        return noun(**values) if len(values) == len(settings) else None

    def _seasons(self, document: Mapping[str, Any]) -> dict[str, SowingSeason]:
        groups = self._table(document, "seasons")
        for name in groups.keys() - set(SEASON_GROUPS):
            self._fault(f"seasons.{name}", quoted(name), f"one of {', '.join(SEASON_GROUPS)}")
        seasons = {}
        for group in SEASON_GROUPS:
            season = SowingSeason(**self._values(f"seasons.{group}.", self._table(groups, group), SEASON_SETTINGS))
            if season != SowingSeason():
                seasons[group] = season
        return seasons

    def _table(self, document: Mapping[str, Any], name: str) -> Mapping[str, Any]:
        table = document.get(name, {})
        if isinstance(table, dict):
            return table
        self._fault(name, toml_value(table), f"a table [{name}]")
        return {}

    def _values(
        self, prefix: str, table: Mapping[str, Any], settings: Sequence[Setting], known: Sequence[str] = ()
    ) -> dict[str, Any]:
        by_name = {setting.name: setting for setting in settings}
        values = {}
        for name, value in table.items():
            if name not in by_name:
                accepted = f"one of {', '.join(known or by_name)}"
                self._fault(prefix + name, f"the unknown setting {quoted(name)}", accepted)
                continue
            try:
                values[name] = parsed(by_name[name], value)
            except NotAccepted as refusal:
                self._fault(prefix + name, refusal.found, refusal.accepted)
        return values

    def _fault(self, column: str, found: str, accepted: str) -> None:
        self.faults.append(Fault(SITE_FILE, None, column, found, accepted))
