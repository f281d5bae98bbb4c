"""Bring in a sheet of somebody's own: read with her columns, every fault in its place, then all of it or nothing.

What it asks for is judged by the match as a form's is, all of it together. What adds up the rows above it is no row.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from haulm.errors import NotAccepted
from haulm.farm.edits import Row, with_rows
from haulm.farm.orders import StandingLine, StandingOrder
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week
from haulm.farm_folder.cells import row_from_values
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.sheet_columns import Reads, Target
from haulm.farm_folder.sheet_values import DateOrder, asks_for_order, date_order
from haulm.farm_folder.sheets import Sheet
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import PROMISED
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.farm.bring_in_folder import keep_together, promised_together
from haulm.jobs.farm.new_keys import new_key
from haulm.jobs.farm.row_words import Names
from haulm.jobs.farm.sheet_cells import CellReader, Unread, folded
from haulm.jobs.quotes.keep_prices import price_kept
from haulm.language.words import _, marked
from haulm.store.unit_of_work import UnitOfWork

BROUGHT_IN = "sheet-brought-in"
"""The entry of a sheet, whatever number of rows it has."""
_COLLECTIONS = {
    "kinds": "varieties",
    "beds": "beds",
    "customers": "customers",
    "sowings": "batches",
    "standing-orders": "standing_lines",
}
_TOTALS = (
    "total",
    "totals",
    "sum",
    "sums",
    marked("grand total"),
    marked("sub total"),
    "subtotal",
    "sub-total",
    marked("in all"),
    marked("all together"),
)
"""How a row begins that only adds up the others."""
_COLUMN_OF = {"variety": "kind", "product": "kind", "price_minor": "price", "sown": "places", "plants": "places"}
"""The field in whose cell a fault of a column stands."""


@dataclass(frozen=True, slots=True)
class SheetAsked:
    """A sheet as somebody wants it read.

    Attributes:
        target: what it holds.
        sheet: its rows.
        columns: for each column the name of a field, or nothing.
        has_header: whether the first row names the columns.
        order: what comes first in days of two numbers; None where nobody has said.
        is_guessed: whether the columns were guessed from what stands in them.
        is_confirmed: whether somebody has looked at what was guessed and at names that are only nearly the farm's.
    """

    target: Target
    sheet: Sheet
    columns: tuple[str, ...]
    has_header: bool = True
    order: DateOrder | None = None
    is_guessed: bool = False
    is_confirmed: bool = False

    @property
    def body(self) -> tuple[tuple[int, tuple[str, ...]], ...]:
        """The rows that hold something, each with its number; what adds up others is left out."""
        return tuple((number, row) for number, row in self._rows if not adds_up(row))

    @property
    def left_out(self) -> tuple[tuple[int, str], ...]:
        """The rows that only add up others, each with its number and its word."""
        return tuple((number, next(filter(None, row))) for number, row in self._rows if adds_up(row))

    @property
    def _rows(self) -> tuple[tuple[int, tuple[str, ...]], ...]:
        first = 1 if self.has_header else 0
        return tuple(zip(self.sheet.numbers[first:], self.sheet.rows[first:], strict=True))


def adds_up(row: Sequence[str]) -> bool:
    """Whether a row only adds up others."""
    said = folded(next(filter(None, row), "")).rstrip(" :=.")
    return said in _TOTALS


@dataclass(frozen=True, slots=True)
class CellFault:
    """What is wrong in a cell: the row's number, the column's place or None for the whole row, and two clauses."""

    row: int
    column: int | None
    found: str
    accepted: str


@dataclass(frozen=True, slots=True)
class ReadSheet:
    """What came of reading a sheet: the rows it would add, or what is wrong, cell by cell.

    Attributes:
        rows: the rows in the order in which they are written.
        count: rows of the sheet.
        faults: what is wrong; with any, nothing is brought in.
        missing: fields that every row needs and no column fills.
        asks_order: whether somebody has to say what comes first in days of two numbers.
        understood: what cells are taken to mean, by row and column, where that is not plainly what was typed.
        near: cells whose name is only nearly one of the farm's, by row and column.
    """

    rows: tuple[Row, ...]
    count: int
    faults: tuple[CellFault, ...]
    missing: tuple[str, ...]
    asks_order: bool
    understood: Mapping[tuple[int, int], str] = field(default_factory=dict[tuple[int, int], str])
    near: tuple[tuple[int, int], ...] = ()

    @property
    def is_whole(self) -> bool:
        """Whether it can be brought in."""
        return bool(self.rows) and not (self.faults or self.missing or self.asks_order)


def read_sheet(farm: Farm, asked: SheetAsked, today: date) -> ReadSheet:
    """Read a sheet with its columns; nothing is written."""
    missing = tuple(field.words for field in asked.target.fields if field.required and field.name not in asked.columns)
    order, asks = _order(asked)
    if missing or asks:
        return ReadSheet((), len(asked.body), (), missing, asks)
    return _Reading(farm, asked, CellReader(farm, order, today)).read()


def needs_a_look(asked: SheetAsked, read: ReadSheet) -> bool:
    """Whether somebody has to say that what was guessed or is nearly a name is meant so."""
    return (asked.is_guessed or bool(read.near)) and not asked.is_confirmed


def bring_in_sheet(desk: Desk, work: UnitOfWork, asked: SheetAsked, today: date) -> int:
    """Write every row of a sheet under one entry; gives how many rows of the sheet there were.

    Raises:
        NotAccepted: anything in it is not accepted, since the farm has changed meanwhile, or nobody has looked at what
            was guessed; nothing is written.
        FolderNotPromised: what it asks cannot be promised beside what is promised already.
    """
    read = read_sheet(work.farm, asked, today)
    if needs_a_look(asked, read):
        found = _("names or columns that are only guessed")
        raise NotAccepted(where=_("the sheet"), found=found, accepted=_("a tick that they are meant so"))
    if not read.is_whole:
        found = _("rows that do not fit the farm any more")
        raise NotAccepted(where=_("the sheet"), found=found, accepted=_("the sheet looked at again"))
    before = work.farm
    changed = with_rows(before, read.rows)
    judged = promised_together(desk, before, changed, Names(changed, {}))
    facts: dict[str, object] = {"rows": read.count}
    seq = work.enter(BROUGHT_IN, asked.target.name, facts | {PROMISED: True} if judged else facts)
    for row in read.rows:
        work.put(row, entry=seq)
    keep_together(desk, work, before, judged, entry=seq)
    return read.count


def _order(asked: SheetAsked) -> tuple[DateOrder | None, bool]:
    """The order of the days of a sheet, and whether it has to be asked."""
    if asked.order is not None:
        return asked.order, False
    days = {field.name for field in asked.target.fields if field.reads is Reads.DAY}
    at = [place for place, name in enumerate(asked.columns) if name in days]
    cells = [row[place] for _, row in asked.body for place in at]
    found = date_order(cells)
    return found, found is None and asks_for_order(cells)


class _Reading:
    """One reading of a sheet: rows come out, faults are collected."""

    def __init__(self, farm: Farm, asked: SheetAsked, cells: CellReader) -> None:
        self._farm, self._asked, self._cells = farm, asked, cells
        self._grown = farm
        self._at = {name: place for place, name in enumerate(asked.columns) if name}
        self._faults: list[CellFault] = []
        self._rows: list[tuple[int, Row]] = []
        self._orders: dict[tuple[object, ...], StandingOrder] = {}
        self._names = {folded(row.name) for row in self._named()}
        self._understood: dict[tuple[int, int], str] = {}
        self._near: list[tuple[int, int]] = []

    def read(self) -> ReadSheet:
        """The rows, or the faults."""
        for number, row in self._asked.body:
            values = self._values(number, row)
            if values is not None:
                self._add(number, values)
        if not self._faults:
            self._check_whole()
        rows = () if self._faults else tuple(row for _, row in self._rows)
        told = (dict(self._understood), tuple(self._near))
        return ReadSheet(rows, len(self._asked.body), tuple(self._faults), (), False, *told)

    def _named(self) -> tuple[Any, ...]:
        collection = _COLLECTIONS[self._asked.target.name]
        rows: tuple[Any, ...] = getattr(self._farm, collection)
        return rows if collection in ("varieties", "beds", "customers") else ()

    def _values(self, number: int, row: tuple[str, ...]) -> dict[str, Any] | None:
        found: dict[str, Any] = {}
        is_good = True
        for one in self._asked.target.fields:
            place = self._at.get(one.name)
            cell = "" if place is None else row[place]
            if not cell:
                if one.required:
                    self._fault(number, one.name, "nothing", self._cells.accepted(one.reads))
                    is_good = False
                continue
            value = self._cells.read(one.reads, cell)
            if isinstance(value, Unread):
                self._fault(number, one.name, f"'{cell}'", value.accepted)
                is_good = False
            else:
                found[one.name] = value
        self._understand(number, row, found)
        return found if is_good else None

    def _understand(self, number: int, row: tuple[str, ...], found: Mapping[str, Any]) -> None:
        """Keep what the cells of a row are taken to mean."""
        for one in self._asked.target.fields:
            place = self._at.get(one.name)
            if place is None or one.name not in found:
                continue
            words = self._cells.words(one.reads, found[one.name], found.get("kind"))
            if words and folded(words) != folded(row[place]):
                self._understood[number, place] = words
            if self._cells.is_near(one.reads, row[place]):
                self._near.append((number, place))

    def _add(self, number: int, values: dict[str, Any]) -> None:
        match self._asked.target.name:
            case "standing-orders":
                self._add_standing(number, values)
            case "sowings":
                self._put(number, "batches", _batch(values, self._cells))
            case _:
                name = values["name"]
                if folded(name) in self._names:
                    accepted = _("a name that stands once: leave the row out, or write it another way")
                    self._fault(number, "name", _("'{name}', which is there already").format(name=name), accepted)
                    return
                self._names.add(folded(name))
                self._put(number, _COLLECTIONS[self._asked.target.name], _named_values(values, self._cells))

    def _add_standing(self, number: int, values: dict[str, Any]) -> None:
        weekday = values.get("weekday") or self._farm.site.bucket_day
        first, last = Week.of(values["first"]), Week.of(values["last"])
        every = values.get("every", 1)
        same = (values["customer"], weekday, first, last, every)
        if same not in self._orders:
            said = {
                "customer": values["customer"],
                "weekday": str(weekday),
                "first_week": str(first),
                "last_week": str(last),
                "every": every,
                "committed_on": self._cells.today.isoformat(),
            }
            order = self._put(number, "standing_orders", said)
            if order is None:
                return
            self._orders[same] = order
        order = self._orders[same]
        stems = self._cells.stems(values["stems"], values["kind"])
        self._put(number, "standing_lines", {"order": order.key, "stems": stems, "product": values["kind"]})

    def _put(self, number: int, collection: str, values: Mapping[str, object]) -> Any:
        within = self._cells.library_kind(str(values.get("name", ""))) if collection == "varieties" else None
        given = {**values, "key": new_key(self._grown, collection, values, within=within)}
        try:
            row = row_from_values(collection, given)
        except FolderRefused as refusal:
            for fault in refusal.faults:
                self._fault(number, fault.column, fault.found, fault.accepted)
            return None
        self._grown = with_rows(self._grown, [row])
        if isinstance(row, StandingLine):
            row = price_kept(self._grown, row, given, today=self._cells.today)
        self._rows.append((number, row))
        return row

    def _check_whole(self) -> None:
        ways = [(number,) for number, _ in self._rows]
        try:
            require_sound(self._farm, [row for _, row in self._rows], ways)
        except FolderRefused as refusal:
            for fault in refusal.faults:
                number = next((step for step in fault.within if isinstance(step, int)), self._asked.sheet.numbers[-1])
                self._fault(number, fault.column, fault.found, fault.accepted)

    def _fault(self, number: int, name: str | None, found: str, accepted: str) -> None:
        field = _COLUMN_OF.get(name or "", name or "")
        self._faults.append(CellFault(number, self._at.get(field), found, accepted))


def _batch(values: dict[str, Any], cells: CellReader) -> dict[str, object]:
    """A sowing's values by column: trays are counted in places too."""
    places, trays = cells.places(values["places"])
    method = values.get("method")
    days: dict[str, object] = {
        name: values[name].isoformat() for name in ("sow_date", "plant_out_date") if name in values
    }
    found: dict[str, object] = {"variety": values["kind"], "sown": places, **days}
    found |= {name: values[name] for name in ("bed", "metres") if name in values}
    found |= {} if method is None else {"method": str(method)}
    return found | ({} if trays is None else {"trays": trays})


def _named_values(values: dict[str, Any], cells: CellReader) -> dict[str, object]:
    """A row's values by column, where the fields are the columns but for money."""
    found = {name: value for name, value in values.items() if name != "price"}
    return found if "price" not in values else {**found, "price_minor": cells.minor(values["price"])}
