"""The form of one row: its fields in groups as they are drawn, and what was typed as the text of columns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from typing import Any

from haulm.crop_library.library import LOOKED_UP, explain
from haulm.errors import HaulmError
from haulm.farm.cross_checks import REFERENCES
from haulm.farm.varieties import Variety
from haulm.farm_folder import kinds
from haulm.farm_folder.cells import SPEC_BY_COLLECTION
from haulm.farm_folder.column import Column
from haulm.jobs.desk.seen import Shown
from haulm.language.words import _
from haulm.pages.rows.choice_words import words_of
from haulm.pages.rows.list_widgets import Lengths, NameList, Stages
from haulm.pages.rows.page_words import Field, Table
from haulm.pages.rows.widgets import (
    At,
    Day,
    Email,
    Form,
    Money,
    Note,
    Number,
    Options,
    Percent,
    Phone,
    Pick,
    PickProduct,
    PickRow,
    PickWeek,
    Text,
    Tick,
    Whole,
    Widget,
    YesNo,
)

Asked = Sequence[tuple[Field, Widget]]
"""The fields of a form, each with how it is typed."""
_BY_KIND: Sequence[tuple[kinds.Kind, Widget]] = (
    (kinds.TEXT, Text()),
    (kinds.EMAIL, Email()),
    (kinds.PHONE, Phone()),
    (kinds.NOTE, Note()),
    (kinds.DATE, Day()),
    (kinds.WEEK, PickWeek()),
    (kinds.PRODUCT, PickProduct()),
    (kinds.PRODUCTS, NameList(has_dried=True)),
    (kinds.KEYS, NameList()),
    (kinds.LENGTHS, Lengths()),
    (kinds.STAGES, Stages()),
)
_TARGETS = {(collection, column): target for collection, column, target in REFERENCES}


@dataclass(frozen=True, slots=True)
class Drawn:
    """A field as it is drawn; `typed` holds what stands in it and in its parts, by the name of the field."""

    name: str
    label: str
    hint: str
    shape: str
    typed: Form
    options: Options
    placeholder: str
    is_required: bool
    has_none: bool
    mode: str
    wrong: str

    @property
    def value(self) -> str:
        """What stands in the field itself."""
        return self.typed.get(self.name, "")


@dataclass(frozen=True, slots=True)
class Group:
    """Fields under a heading; without one they are always open."""

    heading: str
    fields: tuple[Drawn, ...]
    anchor: str = ""
    is_asked: bool = False

    @property
    def is_open(self) -> bool:
        """Whether something in it is filled in or wrong, so that it is not folded away."""
        return self.is_asked or any(field.wrong for field in self.fields)


def column_of(table: Table, name: str) -> Column:
    """The column of a table by its name."""
    return next(one for one in SPEC_BY_COLLECTION[table.collection].columns if one.name == name)


def widget_of(table: Table, field: Field) -> Widget:
    """How a field is typed: as its words say, else by the kind of its column."""
    return field.widget or _by_column(table.collection, column_of(table, field.name))


def asked_by(table: Table) -> Asked:
    """The fields of a table, each with how it is typed."""
    return tuple((field, widget_of(table, field)) for field in table.fields)


def _by_column(collection: str, column: Column) -> Widget:
    words, default = words_of(collection, column.name), SPEC_BY_COLLECTION[collection].defaults.get(column.name)
    if words is not None and "enum" in column.kind.schema:
        return Pick(words)
    if (collection, column.name) in _TARGETS:
        return PickRow(_TARGETS[collection, column.name])
    if column.kind is kinds.FLAG:
        return YesNo() if default is None else Tick()
    return next((widget for kind, widget in _BY_KIND if kind is column.kind), None) or _number(column)


def _number(column: Column) -> Widget:
    if "minor" in column.name:
        return Money()
    if "[0-1]" in column.meaning:
        return Percent()
    return Whole() if column.kind.schema.get("type") == "integer" else Number()


def cells_of(table: Table, row: Any) -> dict[str, str]:
    """The text of every column of a row, as the folder has it."""
    spec = SPEC_BY_COLLECTION[table.collection]
    return {column.name: _cell(column, getattr(row, column.name)) for column in spec.columns}


def _cell(column: Column, value: Any) -> str:
    return "" if value is None or value == () else column.kind.text(value)


def new_cells(table: Table) -> dict[str, str]:
    """The text of the columns of a row that is not there yet: what a choice is where nobody chooses."""
    spec = SPEC_BY_COLLECTION[table.collection]
    return {
        column.name: _cell(column, spec.defaults.get(column.name)) if _is_chosen(table, column) else ""
        for column in spec.columns
    }


def _is_chosen(table: Table, column: Column) -> bool:
    field = next((one for one in table.fields if one.name == column.name), None)
    return field is not None and isinstance(widget_of(table, field), Pick | Tick)


def typed_of(asked: Asked, cells: Mapping[str, str], at: At) -> dict[str, str]:
    """The fields of a form for the text of columns."""
    found: dict[str, str] = {}
    for field, widget in asked:
        found |= widget.typed(cells.get(field.name, ""), field.name, at)
    return found


def cells_from(asked: Asked, form: Form, at: At) -> dict[str, str]:
    """The text of every column of a form."""
    return {field.name: widget.cell(form, field.name, at) for field, widget in asked}


def shown_of(what: str, asked: Asked, cells: Mapping[str, str], at: At) -> Shown:
    """What a page shows of something, to tell later whether it still stands so."""
    return Shown(what, {_(field.label): widget.words(cells[field.name], at) for field, widget in asked})


def row_shown_as(table: Table, row: Any, at: At) -> Shown:
    """A row as its page shows it."""
    return shown_of(at.names.title(table.collection, row), asked_by(table), cells_of(table, row), at)


def merged(asked: Asked, form: Form, cells: Mapping[str, str], at: At) -> dict[str, str]:
    """A form on what somebody changed meanwhile: what was typed anew, and the rest as it stands now."""
    found = typed_of(asked, cells, at)
    for field, widget in asked:
        was = form.get(f"seen-{_(field.label)}", "").replace("\r\n", "\n")
        if _words(widget, widget.cell(form, field.name, at), at) != was:
            found |= {name: form.get(name, "") for name in widget.typed(cells[field.name], field.name, at)}
    return found


def _words(widget: Widget, cell: str, at: At) -> str | None:
    """What a cell says; None where it was not read, so that it is taken as typed."""
    try:
        return widget.words(cell, at)
    except (ValueError, ArithmeticError, HaulmError):
        return None


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a form beside what was typed.

    Attributes:
        row: the row that is changed, or what a new one would be; None where nothing is known.
        wrong: a sentence by field.
        opened: the heading whose fields are shown at once.
    """

    row: Any = None
    wrong: Mapping[str, str] = dataclass_field(default_factory=dict[str, str])
    opened: str = ""


def groups_of(table: Table, typed: Form, at: At, known: Known) -> tuple[Group, ...]:
    """The form in its groups: what everybody needs first, the rest under headings.

    Args:
        table: the table.
        typed: what stands in the fields.
        at: what the form stands on.
        known: the row behind it, and what is wrong.
    """
    usual = dict(_of_library(known.row)) if isinstance(known.row, Variety) else {}
    headings = dict.fromkeys(field.group for field in table.fields)
    asked = [field for field in table.fields if not (field.name == table.parent and at.parent)]
    drawn = {
        heading: tuple(
            _drawn(table, field, typed, at, (usual, known.wrong)) for field in asked if field.group == heading
        )
        for heading in headings
    }
    return tuple(
        Group(_(heading) if heading else "", fields, is_asked=bool(heading) and heading == known.opened)
        for heading, fields in drawn.items()
    )


def _drawn(
    table: Table, field: Field, typed: Form, at: At, known: tuple[Mapping[str, str], Mapping[str, str]]
) -> Drawn:
    usual, wrong = known
    spec, widget = SPEC_BY_COLLECTION[table.collection], widget_of(table, field)
    is_required = field.name in spec.required
    drawn = drawn_field(field, widget, typed, at, wrong.get(field.name, ""))
    figure = usual.get(field.name) if drawn.placeholder else None
    if figure is not None:
        empty = _("{whose}: {figure}").format(whose=drawn.placeholder, figure=widget.words(figure, at))
        drawn = replace(drawn, placeholder=empty)
    return replace(drawn, is_required=is_required, has_none=is_required or spec.defaults.get(field.name) is None)


def drawn_field(field: Field, widget: Widget, typed: Form, at: At, wrong: str) -> Drawn:
    """A field as it is drawn, where nothing else is known of it than its words."""
    return Drawn(
        name=field.name,
        label=_(field.label),
        hint=_(field.hint) if field.hint else "",
        shape=widget.shape,
        typed={name: typed.get(name, "") for name in widget.typed("", field.name, at)},
        options=widget.options(at, typed.get(field.name, "")),
        placeholder=_(field.empty) if field.empty else "",
        is_required=False,
        has_none=bool(field.empty),
        mode=widget.mode,
        wrong=wrong,
    )


def _of_library(variety: Variety) -> Iterator[tuple[str, str]]:
    """What the library says of each figure, were the farm to say nothing."""
    own = {name: None for name in LOOKED_UP if hasattr(variety, name)}
    for one in explain(replace(variety, **own)):  # type: ignore[arg-type]  # each of them may be nothing
        yield one.field, "yes" if one.value == "True" else one.value


def labels_of(table: Table) -> dict[str, str]:
    """The labels of a table's columns by name."""
    return {field.name: _(field.label) for field in table.fields}
