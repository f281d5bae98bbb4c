"""Rows of the farm in words: which row it is, what its columns are called, and what changed in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from haulm.farm.edits import COLLECTIONS, Row
from haulm.farm.quantities import percent
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week, near_day_in_words, weeks_in_words
from haulm.jobs.desk.money_words import money_words
from haulm.language.words import _, marked
from haulm.store.history import Thing, Write
from haulm.store.journal import Json

_ONE: Mapping[str, str] = {
    "varieties": marked("Kind {name}"),
    "beds": marked("Bed {name}"),
    "batches": marked("Batch of {name}"),
    "records": marked("Record about {name}"),
    "known_stems": marked("Counted stems of {name}"),
    "temperatures": marked("Temperatures of {name}"),
    "customers": marked("Customer {name}"),
    "standing_orders": marked("Standing order of {name}"),
    "standing_lines": marked("Standing line for {name}"),
    "changes": marked("Change of {name}"),
    "orders": marked("Order of {name}"),
    "order_lines": marked("Order line for {name}"),
    "prices": marked("Price of {name}"),
    "recipes": marked("Recipe of {name}"),
    "sprays": marked("Spray in {name}"),
    "piece_decisions": marked("Decision about {name}"),
    "past_years": marked("Past year of {name}"),
    "usual_sales": marked("Usual sale to {name}"),
    "at_home": marked("What is at home of {name}"),
}
"""What a row of each collection is called, with the name of what it is about."""
_ABOUT: Mapping[str, tuple[str, ...]] = {
    "batches": ("variety",),
    "records": ("batch", "variety"),
    "known_stems": ("product",),
    "temperatures": ("date",),
    "standing_orders": ("customer",),
    "standing_lines": ("product", "choice"),
    "changes": ("order",),
    "orders": ("customer",),
    "order_lines": ("product", "choice"),
    "prices": ("product",),
    "recipes": ("piece",),
    "sprays": ("bed",),
    "piece_decisions": ("variety",),
    "past_years": ("variety", "kind"),
    "usual_sales": ("customer",),
    "at_home": ("variety",),
}
"""The columns that say what a row is about, the first that is filled."""
_TOLD = ("kind", "date", "count", "stems", "sow_date", "plants", "due_date", "week")
"""The columns that tell a new row from others of its collection."""
_UNITS: Mapping[str, str] = {"cm": "cm", "c": "°C", "pct": "%", "days": "days", "weeks": "weeks", "metres": "m"}
_ARROW = "→"


@dataclass(frozen=True, slots=True)
class Names:
    """What keys stand for, now: the farm, and rows that are gone since as they were written last."""

    farm: Farm
    gone: Mapping[Thing, Json]

    def row(self, collection: str, key: str) -> str:
        """The name of a row; the key where nothing ever had a name."""
        found = next((row for row in getattr(self.farm, collection) if getattr(row, "key", None) == key), None)
        name = getattr(found, "name", None) or self.gone.get((collection, key), {}).get("name")
        if name:
            return str(name)
        row = self._json(collection, key, found)
        return _about(self, collection, row) if row and collection in _ABOUT else key

    def order(self, key: str) -> str:
        """An order or a standing order, by whose it is."""
        collection = "standing_orders" if any(one.key == key for one in self.farm.standing_orders) else "orders"
        return _(_ONE[collection]).format(name=self.row(collection, key))

    def customer(self, key: str) -> str:
        """The name of a customer."""
        return self.row("customers", key)

    def _json(self, collection: str, key: str, found: Any) -> Json:
        if found is None:
            return self.gone.get((collection, key), {})
        return {name: getattr(found, name) for name in _ABOUT.get(collection, ())}


def subject_in_words(names: Names, subject: str) -> str:
    """What an entry is about, in words; empty where that is the farm."""
    collection, _slash, key = subject.partition("/")
    if collection in _ONE:
        return _(_ONE[collection]).format(name=names.row(collection, key))
    if collection in ("bucket-lists", "days"):
        return _("list of {day}").format(day=_value(names, "date", key)) if key else ""
    if collection == "weeks":
        return _value(names, "week", key)
    if collection in ("piles", "lines"):
        return _pile(names, key)
    return ""


def row_in_words(names: Names, row: Row) -> str:
    """A row in words: `Batch of zinnia in Pond bed two`."""
    collection = COLLECTIONS[type(row)]
    values = {
        column: getattr(row, column) for column in ("bed", *_ABOUT.get(collection, ("name",))) if hasattr(row, column)
    }
    key = getattr(row, "key", "")
    if collection in ("varieties", "beds", "customers"):
        return _(_ONE[collection]).format(name=values["name"])
    return _(_ONE[collection]).format(name=_row_name(names, (collection, key), values))


def changes_in_words(names: Names, thing: Thing, write: Write) -> str:
    """What was made of a row: `Batch of zinnia in Pond bed two: sow date 3 May → 5 May`."""
    collection, _key = thing
    row = write.after or write.before or {}
    name = _(_ONE[collection]).format(name=_row_name(names, thing, row))
    if write.before is None:
        said = ", ".join(_told(names, column, row[column]) for column in _TOLD if row.get(column))
        return _("{row}: added").format(row=name) + (f" ({said})" if said else "")
    if write.after is None:
        return _("{row}: taken out").format(row=name)
    changed = "; ".join(_differences(names, write.before, write.after))
    return f"{name}: {changed}"


def _told(names: Names, column: str, value: Any) -> str:
    said = _value(names, column, value)
    return said if column in ("kind", "week", "date") else f"{_column(column)} {said}"


def _differences(names: Names, before: Json, after: Json) -> Iterator[str]:
    for column in after:
        if column not in ("key", "person") and before.get(column) != after[column]:
            old, new = (_value(names, column, row.get(column)) for row in (before, after))
            yield f"{_column(column)} {old} {_ARROW} {new}"


def _row_name(names: Names, thing: Thing, row: Json) -> str:
    collection, key = thing
    if collection not in _ABOUT:
        return names.row(collection, key)
    bed = row.get("bed") if collection == "batches" else None
    about = _about(names, collection, row)
    return _("{what} in {bed}").format(what=about, bed=names.row("beds", bed)) if bed else about


def _about(names: Names, collection: str, row: Mapping[str, Any]) -> str:
    column = next((one for one in _ABOUT[collection] if row.get(one)), None)
    if column is None:
        return _("the whole farm")
    return _value(names, column, str(row[column]))


def _column(column: str) -> str:
    """What a column is called: its name without the unit, which its value has."""
    parts = column.split("_")
    return " ".join(parts[:-1] if len(parts) > 1 and parts[-1] in (*_UNITS, "minor") else parts)


_COLLECTION_OF = {
    "variety": "varieties",
    "bed": "beds",
    "batch": "batches",
    "customer": "customers",
    "order": "orders",
}


def _value(names: Names, column: str, value: Any) -> str:
    """A value as a person reads it."""
    if value is None or value == "":
        return _("nothing")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if column.endswith("_minor"):
        return money_words(int(value), names.farm.site.currency)
    if column.endswith("_confidence"):
        return percent(float(value))
    text = str(value)
    if column in _COLLECTION_OF:
        return _named(names, column, text)
    if column in ("product", "substitutes", "unacceptable"):
        return ", ".join(_product(names, part) for part in text.split("|"))
    return _day(text) or _week(text) or _with_unit(column, text)


def _named(names: Names, column: str, key: str) -> str:
    if column == "order" and any(order.key == key for order in names.farm.standing_orders):
        return names.row("standing_orders", key)
    return names.row(_COLLECTION_OF[column], key)


def _product(names: Names, text: str) -> str:
    variety, _colon, form = text.partition(":")
    name = names.row("varieties", variety)
    return f"{name}, {form}" if form else name


def _pile(names: Names, text: str) -> str:
    batch = next((row for row in names.farm.batches if row.key == text), None)
    return names.row("varieties", batch.variety) if batch is not None else ""


def _day(text: str) -> str | None:
    try:
        return near_day_in_words(date.fromisoformat(text)) if len(text) == len("2027-05-03") else None
    except ValueError:
        return None


def _week(text: str) -> str | None:
    try:
        return weeks_in_words([Week.parse(text)]) if "-W" in text else None
    except ValueError:
        return None


def _with_unit(column: str, text: str) -> str:
    unit = _UNITS.get(column.rpartition("_")[2], "")
    plain = text.replace("_", " ").removesuffix(".0")
    return f"{plain} {unit}" if unit and plain.replace(".", "").replace("-", "").isdigit() else plain
