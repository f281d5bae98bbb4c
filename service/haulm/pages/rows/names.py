"""What the rows of a farm are called where a person reads: by kind, bed, customer and day, never by key."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

from haulm.advice.asked_words import asked_in_words
from haulm.crop_library.library import library
from haulm.farm.batches import Batch
from haulm.farm.beds import Spray
from haulm.farm.orders import Change, Order, OrderLine, Price, Recipe, StandingLine, StandingOrder
from haulm.farm.products import Choice, Product
from haulm.farm.records import DayTemperature, KnownStems, Record
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week, day_in_words, near_day_in_words
from haulm.jobs.desk.names import Names as SaidNames
from haulm.language.words import _, many
from haulm.pages.rows.choice_words import words_of
from haulm.planning.keeping import crops_of


def stems_words(count: int) -> str:
    """A count of stems: `40 stems`."""
    return many("{count} stem", "{count} stems", count)


def week_words(week: Week, today: date) -> str:
    """A week with its Monday, and the year where it is another: `week 32, Mon 9 Aug`."""
    day = near_day_in_words(week.monday) if week.year == today.year else day_in_words(week.monday)
    return _("week {number}, {day}").format(number=week.number, day=day)


def one_each(names: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Names by key, none twice: of two alike the later ones carry a number."""
    given: Counter[str] = Counter()
    found: dict[str, str] = {}
    for key, name in names:
        given[name] += 1
        found[key] = name if given[name] == 1 else f"{name} ({given[name]})"
    return found


class Names:
    """The names of all rows of one farm, on one day."""

    def __init__(self, farm: Farm, today: date) -> None:
        self.farm, self.today, self.said = farm, today, SaidNames(farm)
        self.crops: Mapping[str, Crop] = crops_of(farm)
        self.varieties = one_each((row.key, row.name) for row in farm.varieties)
        self.beds = one_each((row.key, row.name) for row in farm.beds)
        self.customers = one_each((row.key, row.name) for row in farm.customers)
        self._lazy: dict[str, dict[str, str]] = {}

    def of(self, collection: str, key: str) -> str:
        """The name of a row by its key; an unknown one is said to be gone."""
        return self.all(collection).get(key, _("gone"))

    def all(self, collection: str) -> Mapping[str, str]:
        """The names of all rows of a collection by key."""
        named = {"varieties": self.varieties, "beds": self.beds, "customers": self.customers}
        if collection in named:
            return named[collection]
        if collection not in self._lazy:
            rows = getattr(self.farm, collection)
            self._lazy[collection] = one_each((row.key, self.title(collection, row)) for row in rows)
        return self._lazy[collection]

    def kinds(self) -> Mapping[str, str]:
        """The names of the library's kinds and of the farm's own, by key."""
        own = {crop.kind: crop.kind_name for crop in self.crops.values()}
        return {**{key: crop.name for key, crop in library().items()}, **own}

    def product(self, product: Product | Choice) -> str:
        """A product or a choice in words."""
        return asked_in_words(product, self.crops)

    def title(self, collection: str, row: Any) -> str:
        """What one row is called."""
        if collection in _TITLES:
            return _TITLES[collection](self, row)
        return self.all(collection)[row.key] if collection in ("varieties", "beds", "customers") else str(row.key)

    def asked(self, row: StandingLine | OrderLine) -> str:
        """What a line asks, without how many."""
        wanted = row.product or row.choice
        return _("nothing named") if wanted is None else self.product(wanted)

    def word(self, collection: str, column: str, value: str) -> str:
        """A word of a closed list as people say it, without what explains it."""
        words = words_of(collection, column)
        return value if words is None else _(words[value]).partition(":")[0]


def _batch(names: Names, row: Batch) -> str:
    return names.said.of_batch(row)


def _standing_order(names: Names, row: StandingOrder) -> str:
    return names.said.order(row.key)


def _order(names: Names, row: Order) -> str:
    day = day_in_words(row.event_date or row.due_date)
    return _("{order}, {day}").format(order=names.said.order(row.key), day=day)


def _line(names: Names, row: StandingLine | OrderLine) -> str:
    return _("{stems} of {what}").format(stems=stems_words(row.stems), what=names.asked(row))


def _change(names: Names, row: Change) -> str:
    week = week_words(row.week, names.today)
    line = next((one for one in names.farm.standing_lines if one.key == row.line), None)
    what = _("everything") if line is None else names.asked(line)
    if row.stems == 0:
        return _("{week}: {what} left out").format(week=week, what=what)
    return _("{week}: {stems} instead, {what}").format(week=week, stems=stems_words(row.stems), what=what)


def _record(names: Names, row: Record) -> str:
    kind = names.word("records", "kind", row.kind)
    batch = next((one for one in names.farm.batches if one.key == row.batch), None)
    what = names.varieties.get(row.variety or (batch.variety if batch else ""), "")
    parts = (day_in_words(row.date), what, kind if row.count is None else f"{kind} {row.count:,}")
    return ": ".join(part for part in (", ".join(filter(None, parts[:2])), parts[2]) if part)


def _price(names: Names, row: Price) -> str:
    parts = [names.product(row.product)]
    if row.customer is not None:
        parts.append(_("for {customer}").format(customer=names.of("customers", row.customer)))
    if row.length_cm is not None:
        parts.append(_("from {length} cm on").format(length=row.length_cm))
    if row.first_week is not None:
        parts.append(_("from {week} on").format(week=week_words(row.first_week, names.today)))
    return ", ".join(parts)


def _recipe(names: Names, row: Recipe) -> str:
    return f"{row.piece.replace('_', ' ')}: {names.word('recipes', 'role', row.role)}"


def _known(names: Names, row: KnownStems) -> str:
    return _("{stems} of {what}").format(stems=stems_words(row.stems), what=names.product(row.product))


def _spray(names: Names, row: Spray) -> str:
    return _("{bed}, {day}").format(bed=names.of("beds", row.bed), day=day_in_words(row.date))


def _temperature(_names: Names, row: DayTemperature) -> str:
    return day_in_words(row.date)


_TITLES: Mapping[str, Callable[[Names, Any], str]] = {
    "batches": _batch,
    "standing_orders": _standing_order,
    "standing_lines": _line,
    "changes": _change,
    "orders": _order,
    "order_lines": _line,
    "records": _record,
    "known_stems": _known,
    "prices": _price,
    "recipes": _recipe,
    "sprays": _spray,
    "temperatures": _temperature,
}
