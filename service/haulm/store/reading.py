"""What is read from the tables: the farm, its version, its entries and its books."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, RowMapping, bindparam, func, select

from haulm.farm.edits import Row as Noun
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderPart
from haulm.store.errors import VersionStale
from haulm.store.history import PUT_BACK, TAKEN_BACK
from haulm.store.journal import Entry, FloorRow, Followed, Pile, Promise
from haulm.store.own_words import with_words, words_of
from haulm.store.rows import COLLECTIONS, Collection, Person, noun_from, site_from_json
from haulm.store.tables.catalogue import ENTRIES, FARMS, FLOORS, FOLLOWED, PEOPLE, PROMISES, STEM_POSTINGS, table
from haulm.store.words import Account, PromiseState

_VERSION = select(FARMS.c.version).where(FARMS.c.id == bindparam("farm_id"))
"""Made once: every answer begins with it."""
_CHANGED_VERSION = select(FARMS.c.changed_version).where(FARMS.c.id == bindparam("farm_id"))


def farm_version(connection: Connection, farm_id: int) -> int:
    """The farm's version; 0 where nothing was ever written."""
    return connection.execute(_VERSION, {"farm_id": farm_id}).scalar_one_or_none() or 0


def changed_version(connection: Connection, farm_id: int) -> int:
    """The last version that changed a row, a promise or stems; 0 where nothing ever did."""
    return connection.execute(_CHANGED_VERSION, {"farm_id": farm_id}).scalar_one_or_none() or 0


def loaded_farm(connection: Connection, farm_id: int) -> Farm | None:
    """The whole farm; None before its first import. To be read in a transaction that sees one moment."""
    found = connection.execute(select(FARMS.c.version, FARMS.c.site).where(FARMS.c.id == farm_id)).one_or_none()
    if found is None or found.site is None:
        return None
    people = _people(connection, farm_id)
    rows: dict[str, Any] = {
        name: tuple(_nouns(connection, farm_id, collection, people)) for name, collection in COLLECTIONS.items()
    }
    return Farm(site_from_json(found.site), **rows, version=found.version)


def row_versions(connection: Connection, farm_id: int, collection: str) -> dict[str, int]:
    """The version of every row of a collection, by key."""
    rows = table(collection)
    found = connection.execute(select(rows.c.key, rows.c.row_version).where(rows.c.farm_id == farm_id))
    return {row.key: row.row_version for row in found}


def row_version(connection: Connection, farm_id: int, collection: str, key: str) -> int | None:
    """The version of one row; None where there is none."""
    rows = table(collection)
    statement = select(rows.c.row_version).where(rows.c.farm_id == farm_id, rows.c.key == key)
    found: int | None = connection.execute(statement).scalar_one_or_none()
    return found


def require_seen(connection: Connection, farm_id: int, row: tuple[str, str], expected: int | None) -> None:
    """Refuses to go on where a row, by collection and key, is at another version than its writer has seen.

    Raises:
        VersionStale: somebody wrote the row since.
    """
    if expected is None:
        return
    found = row_version(connection, farm_id, *row) or 0
    if found != expected:
        raise VersionStale(kind=row[0], key=row[1], expected=expected, found=found)


def entries_after(connection: Connection, farm_id: int, after: int, limit: int | None) -> tuple[Entry, ...]:
    """Entries in order, those after a place in the journal, at most so many."""
    statement = select(ENTRIES).where(ENTRIES.c.farm_id == farm_id, ENTRIES.c.seq > after).order_by(ENTRIES.c.seq)
    return _entries(connection, farm_id, connection.execute(statement.limit(limit)).mappings().all())


def last_entry(connection: Connection, farm_id: int, kind: str, subject: str) -> Entry | None:
    """The last entry of a kind about a subject that was not taken back; None where there is none."""
    columns = ENTRIES.c
    wanted = [columns.farm_id == farm_id, columns.kind == kind, columns.subject == subject]
    if taken_back := _taken_back(connection, farm_id):
        wanted.append(columns.seq.not_in(taken_back))
    statement = select(ENTRIES).where(*wanted).order_by(columns.seq.desc()).limit(1)
    row = connection.execute(statement).mappings().one_or_none()
    return None if row is None else _entries(connection, farm_id, [row])[0]


def entries_of(connection: Connection, farm_id: int, kinds: Sequence[str], about: str | None) -> tuple[Entry, ...]:
    """Entries of these kinds in order that were not taken back; about one subject, if it is named."""
    columns = ENTRIES.c
    statement = select(ENTRIES).where(columns.farm_id == farm_id, columns.kind.in_(kinds)).order_by(columns.seq)
    if about is not None:
        statement = statement.where(columns.subject == about)
    rows = connection.execute(statement).mappings().all()
    if not rows:
        return ()
    taken_back = _taken_back(connection, farm_id)
    return _entries(connection, farm_id, [row for row in rows if row["seq"] not in taken_back])


def last_seq(connection: Connection, farm_id: int) -> int:
    """The place of the last entry; 0 where there is none."""
    return connection.execute(select(func.max(ENTRIES.c.seq)).where(ENTRIES.c.farm_id == farm_id)).scalar_one() or 0


def promises_where(connection: Connection, farm_id: int, *wanted: ColumnElement[bool]) -> tuple[Promise, ...]:
    """Records of the promises book, oldest first."""
    statement = select(PROMISES).where(PROMISES.c.farm_id == farm_id, *wanted).order_by(PROMISES.c.number)
    return tuple(_promise(row) for row in connection.execute(statement).mappings())


def floors_from(connection: Connection, farm_id: int, first: date) -> tuple[FloorRow, ...]:
    """What promises last said of the floors of what is due from a day on, a row for each line and delivery.

    The rows of what moved a floor since are many, and owe what the promise before them owes.
    """
    columns = FLOORS.c
    wanted = (columns.farm_id == farm_id, columns.by_promise.is_(True), columns.due >= first)
    statement = select(FLOORS).where(*wanted).order_by(columns.number)
    rows = (_floor(row) for row in connection.execute(statement).mappings())
    return tuple({(row.order, row.due, row.line, row.part): row for row in rows}.values())


def floors_of(connection: Connection, farm_id: int) -> tuple[FloorRow, ...]:
    """Every row of floors, oldest first."""
    statement = select(FLOORS).where(FLOORS.c.farm_id == farm_id).order_by(FLOORS.c.number)
    return tuple(_floor(row) for row in connection.execute(statement).mappings())


def followed(connection: Connection, farm_id: int) -> Followed | None:
    """When floors were last looked at, and what they were; None before the first time."""
    columns = (FOLLOWED.c.version, FOLLOWED.c.day, FOLLOWED.c.floors, FOLLOWED.c.model)
    row = connection.execute(select(*columns).where(FOLLOWED.c.farm_id == farm_id)).one_or_none()
    return None if row is None else Followed(row.version, row.day, row.floors, row.model)


def followed_model(connection: Connection, farm_id: int) -> int | None:
    """The model whose figures floors rest on; None before they were first looked at."""
    return connection.execute(select(FOLLOWED.c.model).where(FOLLOWED.c.farm_id == farm_id)).scalar_one_or_none()


def last_written_at(connection: Connection, farm_id: int) -> datetime | None:
    """When the last entry was made; None where there is none."""
    columns = ENTRIES.c
    statement = select(columns.at_utc).where(columns.farm_id == farm_id).order_by(columns.seq.desc()).limit(1)
    return connection.execute(statement).scalar_one_or_none()


def entries_since(connection: Connection, farm_id: int, version: int) -> tuple[Entry, ...]:
    """The entries of the versions after one, in order."""
    statement = select(ENTRIES).where(ENTRIES.c.farm_id == farm_id, ENTRIES.c.version > version)
    found = connection.execute(statement.order_by(ENTRIES.c.seq)).mappings().all()
    return _entries(connection, farm_id, found)


def stem_balances(connection: Connection, farm_id: int, *wanted: ColumnElement[bool]) -> dict[Pile, int]:
    """The stems of every pile that is not empty; only `field` is ever below zero."""
    columns = STEM_POSTINGS.c
    balances: dict[Pile, int] = {}
    for account, sign in ((columns.account_from, -1), (columns.account_to, 1)):
        group = (columns.source, columns.product, account)
        statement = select(*group, func.sum(columns.stems)).where(columns.farm_id == farm_id, *wanted).group_by(*group)
        for source, product, name, stems in connection.execute(statement):
            pile = Pile(source, Product.parse(product), Account(name))
            balances[pile] = balances.get(pile, 0) + sign * int(stems)
    return {pile: balances[pile] for pile in sorted(balances) if balances[pile]}


def _taken_back(connection: Connection, farm_id: int) -> set[int]:
    """The places of the entries that were taken back and not put back since."""
    columns = ENTRIES.c
    wanted = (columns.farm_id == farm_id, columns.kind.in_((TAKEN_BACK, PUT_BACK)))
    found: set[int] = set()
    for kind, seq in connection.execute(select(columns.kind, columns.corrects).where(*wanted).order_by(columns.seq)):
        (found.add if kind == TAKEN_BACK else found.discard)(seq)
    return found


def _people(connection: Connection, farm_id: int) -> dict[int, Person]:
    columns = PEOPLE.c
    statement = select(columns.id, columns.name, columns.email, columns.phone).where(columns.farm_id == farm_id)
    return {row.id: Person(row.name, row.email, row.phone) for row in connection.execute(statement)}


def _nouns(connection: Connection, farm_id: int, collection: Collection, people: dict[int, Person]) -> Sequence[Noun]:
    rows = table(collection.name)
    found = connection.execute(select(rows).where(rows.c.farm_id == farm_id).order_by(rows.c.position))
    columns = list(found.keys())
    nouns = []
    for values in found:
        row = dict(zip(columns, values, strict=True))
        nouns.append(noun_from(collection, row["key"], row, people.get(row.get("person", 0))))
    return nouns


def _entries(connection: Connection, farm_id: int, rows: Sequence[RowMapping]) -> tuple[Entry, ...]:
    """Entries in order of their rows, each with the words that are kept apart from it."""
    if not rows:
        return ()
    words = words_of(connection, farm_id, rows[0]["seq"], rows[-1]["seq"])
    made = []
    for row in rows:
        values = {name: value for name, value in row.items() if name != "farm_id"}
        made.append(Entry(**{**values, "body": with_words(values["body"], words.get(row["seq"], ()))}))
    return tuple(made)


def _promise(row: RowMapping) -> Promise:
    return Promise(
        line=row["line"],
        due=row["due"],
        order=row["order"],
        state=PromiseState(row["state"]),
        stems=row["stems"],
        confidence=row["confidence"],
        number=row["number"],
        entry=row["entry_seq"],
        resolves=row["resolves"],
    )


def _floor(row: RowMapping) -> FloorRow:
    values = {name: value for name, value in row.items() if name not in ("farm_id", "entry_seq", "by_promise")}
    part = None if row["part"] is None else OrderPart(row["part"])
    return FloorRow(**{**values, "causes": tuple(row["causes"]), "part": part}, entry=row["entry_seq"])
