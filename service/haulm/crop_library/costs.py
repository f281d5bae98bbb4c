"""What a kind's seed, young plants and tubers cost to start from, and in what numbers they are sold: the table of it.

A fault in the table is a programmer's mistake, so it is an AssertionError that names the row.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from types import MappingProxyType
from typing import Any

from haulm.crop_library.library_crop import packaged_text
from haulm.farm.costs import KindCosts

_WHOLE = ("plug_tray", "plug_least", "plug_weeks", "tuber_bag")
_PLANTED = ("tuber", "corm", "bulb", "crown")
_MONEY = ("seed_minor", "plug_minor", "tuber_minor")


@cache
def kind_costs() -> Mapping[str, KindCosts]:
    """The starting figures of kinds by library key, read once from the package's own table; read-only.

    A cell that is empty is the figure of every kind; a kind without a row takes all of these.

    Raises:
        AssertionError: a column, key or value is wrong, or a row says not where it comes from.
    """
    return MappingProxyType(costs_in(packaged_text("costs.csv")))


def costs_in(text: str) -> dict[str, KindCosts]:
    """The figures in the text of a table, by key.

    Raises:
        AssertionError: a column, key or value is wrong, or a row says not where it comes from.
    """
    found: dict[str, KindCosts] = {}
    columns = {field.name for field in fields(KindCosts)} - {"origin"} | {"key", "source"}
    for row in csv.DictReader(text.splitlines()):
        key = row["key"]
        assert set(row) == columns, f"costs: columns differ by {set(row) ^ columns}"
        assert key not in found, f"costs: '{key}' stands twice"
        assert row["source"], f"costs: {key} says not where it comes from"
        assert row["sold_as_plugs"] in ("yes", "no"), f"costs: {key} is sold as plugs or not"
        numbers: dict[str, Any] = {name: int(row[name]) for name in _WHOLE if row[name]}
        numbers |= {name: float(row[name]) for name in _MONEY if row[name]}
        assert all(number > 0 for number in numbers.values()), f"costs: {key} is below nought"
        planted = row["planted_as"] or KindCosts().planted_as
        assert planted in _PLANTED, f"costs: {key} is planted as a '{planted}'"
        is_plugs = row["sold_as_plugs"] == "yes"
        found[key] = KindCosts(sold_as_plugs=is_plugs, planted_as=planted, origin=row["source"], **numbers)
    return found
