"""What a page of rows is made from: our own words for a table and its columns, beside what the folder says of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from haulm.pages.rows.names import Names
from haulm.pages.rows.widgets import Widget


@dataclass(frozen=True, slots=True)
class Field:
    """A column as a person fills it in.

    Attributes:
        name: the column.
        label: what it is, in plain words; not yet said in anybody's language, like all words here.
        hint: one short line more, such as an example.
        empty: what an empty field stands for.
        group: the heading under which it is folded away; empty for what everybody needs.
        widget: how it is typed, where the column's kind does not say it.
        only_new: whether it is asked once, when the row is made.
    """

    name: str
    label: str
    hint: str = ""
    empty: str = ""
    group: str = ""
    widget: Widget | None = None
    only_new: bool = False


@dataclass(frozen=True, slots=True)
class Listed:
    """One row in a list: what it is called, and its most wanted figures in few words."""

    title: str
    figures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the folder as pages.

    Attributes:
        collection: its name in the farm.
        place: its address under /farm/.
        many, one: what its rows and one of them are called; `one` follows "Add".
        says: a sentence under the heading of the list.
        fields: its columns in the order of the form.
        listed: a row as the list shows it.
        made: columns that the service makes, with how.
        elsewhere: columns that another page changes, with the address of that page and of the form on it.
        parent: the column that names the row it belongs to.
        parts: collections whose rows belong to one of its own.
        filter_by: a column whose words can be picked above the list.
        leave: what taking a row out means, said before it is done.
        end: the column and the word that end a row for good, and what that means; None where nothing is ended.
        newest_first: whether the list begins with what was written last.
    """

    collection: str
    place: str
    many: str
    one: str
    says: str
    fields: tuple[Field, ...]
    listed: Callable[[Names, Any], Listed]
    made: Mapping[str, str] = field(default_factory=dict[str, str])
    elsewhere: Mapping[str, tuple[str, str]] = field(default_factory=dict[str, tuple[str, str]])
    parent: str = ""
    parts: tuple[str, ...] = ()
    filter_by: str = ""
    leave: str = ""
    end: tuple[str, str, str] | None = None
    newest_first: bool = False

    @property
    def path(self) -> str:
        """The address of its list."""
        return f"/farm/{self.place}"
