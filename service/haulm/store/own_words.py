"""What somebody said or asked, in words: kept apart from the journal, so that erasing the person reaches them.

An entry is never edited. Where its body would hold words of a customer, or a note about one, it holds an empty text;
the words lie here, under the entry and the place in its body. Who reads an entry gets both together, and an empty text
where the person was erased since.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from haulm.store.journal import Json
from haulm.store.tables.catalogue import OWN_WORDS, table

Place = tuple[str | int, ...]
"""Where a text lies in an entry's body: the names and numbers that lead to it."""
PersonOf = Callable[[str, str], int | None]
"""The id of the person that a row is about, by the row's collection and key; None for nobody."""

FREE_TEXTS: Mapping[str, tuple[str, ...]] = {
    "florist-replied": ("note",),
    "couple-answered": ("note",),
    "reply-judged": ("note",),
    "claim": ("reason",),
    "bucket-list-corrected": ("reason", "note"),
    "quote-cancelled": ("reason",),
}
"""The facts, by the kind of entry, in which somebody's words or words about somebody stand."""
NOTES: Mapping[str, tuple[str, str]] = {"changes": ("order", "standing_orders"), "usual_sales": ("customer", "")}
"""Collections with notes about a customer: the column that leads there, and the rows that it names on the way."""
_CUSTOMERS = "customers"


def held_apart(entry: Mapping[str, Any], person_of: PersonOf) -> tuple[Json, list[tuple[Place, int, str]]]:
    """An entry's body without somebody's words, and each of these with its place and the id of the person.

    Args:
        entry: `kind`, `subject` and `body`.
        person_of: whom a row is about; words about nobody stay where they are.
    """
    found = [
        (place, person, text)
        for place, (collection, key), text in _texts(entry)
        if text and (person := person_of(collection, key)) is not None
    ]
    if not found:
        return dict(entry["body"]), []
    body: Json = copy.deepcopy(dict(entry["body"]))
    for place, _, _ in found:
        _write(body, place, "")
    return body, found


def keep_words(connection: Connection, farm_id: int, words: Sequence[tuple[int, Place, int, str]]) -> None:
    """Writes the words of entries: each with the entry, the place, the person and the text."""
    rows = [
        {"farm_id": farm_id, "entry_seq": seq, "place": _as_text(place), "person": person, "words": text}
        for seq, place, person, text in words
    ]
    if rows:
        connection.execute(insert(OWN_WORDS), rows)


def words_of(connection: Connection, farm_id: int, first: int, last: int) -> dict[int, list[tuple[Place, str]]]:
    """The words of the entries from a place in the journal to another, by entry."""
    columns = OWN_WORDS.c
    wanted = (columns.farm_id == farm_id, columns.entry_seq.between(first, last))
    found: dict[int, list[tuple[Place, str]]] = {}
    for row in connection.execute(select(columns.entry_seq, columns.place, columns.words).where(*wanted)):
        found.setdefault(row.entry_seq, []).append((_as_place(row.place), row.words))
    return found


def with_words(body: Json, words: Sequence[tuple[Place, str]]) -> Json:
    """An entry's body with the words at their places."""
    for place, text in words:
        _write(body, place, text)
    return body


def forget_words(connection: Connection, farm_id: int, person: int) -> None:
    """Deletes all words of a person, and of the notes about it."""
    connection.execute(delete(OWN_WORDS).where(OWN_WORDS.c.farm_id == farm_id, OWN_WORDS.c.person == person))


def person_finder(connection: Connection, farm_id: int) -> PersonOf:
    """Finds whom a row is about in the tables as they stand."""

    def person_of(collection: str, key: str) -> int | None:
        customer = key if collection == _CUSTOMERS else _column(collection, key, "customer")
        return None if customer is None else _column(_CUSTOMERS, customer, "person")

    def _column(collection: str, key: str, name: str) -> Any:
        rows = table(collection)
        return connection.execute(
            select(rows.c[name]).where(rows.c.farm_id == farm_id, rows.c.key == key)
        ).scalar_one_or_none()

    return person_of


def _texts(entry: Mapping[str, Any]) -> Iterator[tuple[Place, tuple[str, str], str]]:
    """Every free text of an entry: its place, the row that leads to whom it is about, and what it says."""
    body, (collection, _, key) = entry["body"], entry["subject"].partition("/")
    facts = body.get("facts", {})
    for name in FREE_TEXTS.get(entry["kind"], ()):
        about = (_CUSTOMERS, str(facts["customer"])) if facts.get("customer") else (collection, key)
        if name in facts and about[0] in (_CUSTOMERS, "orders"):
            yield ("facts", name), about, facts[name]
    values = facts.get("values")
    if collection in NOTES and isinstance(values, Mapping) and values.get("note"):
        yield ("facts", "values", "note"), _about(collection, values), values["note"]
    for number, change in enumerate(body.get("changes", ())):
        if change["do"] == "put" and change["collection"] in NOTES:
            yield from _notes(("changes", number, "rows"), change)


def _notes(place: Place, change: Mapping[str, Any]) -> Iterator[tuple[Place, tuple[str, str], str]]:
    columns = list(change["columns"])
    for number, values in enumerate(change["rows"]):
        row = dict(zip(columns, values, strict=True))
        if row["note"]:
            yield (*place, number, columns.index("note")), _about(change["collection"], row), row["note"]


def _about(collection: str, row: Mapping[str, Any]) -> tuple[str, str]:
    column, through = NOTES[collection]
    return through or _CUSTOMERS, str(row.get(column) or "")


def _write(body: Any, place: Place, text: str) -> None:
    *way, last = place
    for step in way:
        body = body[step]
    body[last] = text


def _as_text(place: Place) -> str:
    return "/".join(map(str, place))


def _as_place(text: str) -> Place:
    return tuple(int(step) if step.isdigit() else step for step in text.split("/"))
