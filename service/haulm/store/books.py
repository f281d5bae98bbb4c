"""Writing in the two books, by their rules: a promise follows the one it resolves, stems leave only where they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import Connection, delete, func, insert, select

from haulm.store.errors import PostingKeyReused, PromiseOutOfTurn, StemsNotThere
from haulm.store.journal import FloorRow, Followed, Pile, Promise, StemPosting, posting_to_json
from haulm.store.reading import promises_where, stem_balances
from haulm.store.tables.catalogue import FLOORS, FOLLOWED, PROMISES, STEM_POSTINGS
from haulm.store.words import AT_FIRST, NEXT_STATES, Account


def promise_in_turn(connection: Connection, farm_id: int, promise: Promise) -> Promise:
    """The promise with its number and the record that it resolves: the open one of its line and due date, if any.

    Raises:
        PromiseOutOfTurn: its state cannot follow where the line stands.
    """
    same_line = (PROMISES.c.line == promise.line, PROMISES.c.due == promise.due)
    before = promises_where(connection, farm_id, *same_line)
    last = before[-1] if before else None
    if promise.state not in (NEXT_STATES[last.state] if last is not None else AT_FIRST):
        asked, standing = str(promise.state), str(last.state if last is not None else "not made")
        raise PromiseOutOfTurn(line=promise.line, due=promise.due.isoformat(), state=standing, asked=asked)
    highest = connection.execute(select(func.max(PROMISES.c.number)).where(PROMISES.c.farm_id == farm_id)).scalar_one()
    resolves = last.number if last is not None and last.state.is_open else None
    return replace(promise, number=(highest or 0) + 1, resolves=resolves)


def write_promise(connection: Connection, farm_id: int, promise: Promise) -> None:
    """Adds a record to the promises book."""
    connection.execute(
        insert(PROMISES).values(
            {
                PROMISES.c.farm_id: farm_id,
                PROMISES.c.number: promise.number,
                PROMISES.c.entry_seq: promise.entry,
                PROMISES.c.line: promise.line,
                PROMISES.c.due: promise.due,
                PROMISES.c.order: promise.order,
                PROMISES.c.state: str(promise.state),
                PROMISES.c.stems: promise.stems,
                PROMISES.c.confidence: promise.confidence,
                PROMISES.c.resolves: promise.resolves,
            }
        )
    )


def write_floors(connection: Connection, farm_id: int, asked: Sequence[FloorRow]) -> list[FloorRow]:
    """Adds rows of floors to the book of promises, and gives them with their numbers."""
    if not asked:
        return []
    highest = connection.execute(select(func.max(FLOORS.c.number)).where(FLOORS.c.farm_id == farm_id)).scalar_one() or 0
    rows = [replace(row, number=highest + place) for place, row in enumerate(asked, start=1)]
    columns = FLOORS.c
    values = [
        {
            columns.farm_id.name: farm_id,
            columns.number.name: row.number,
            columns.entry_seq.name: row.entry,
            columns.version.name: row.version,
            columns.day.name: row.day,
            columns.order.name: row.order,
            columns.due.name: row.due,
            columns.line.name: row.line,
            columns.level.name: row.level,
            columns.confidence.name: row.confidence,
            columns.floor.name: row.floor,
            columns.debt.name: row.debt,
            columns.causes.name: list(row.causes),
            columns.part.name: row.part,
            columns.by_promise.name: not row.causes,
        }
        for row in rows
    ]
    connection.execute(insert(FLOORS), values)
    return rows


def write_followed(connection: Connection, farm_id: int, found: Followed) -> None:
    """Writes when floors were last looked at, in the place of the time before."""
    connection.execute(delete(FOLLOWED).where(FOLLOWED.c.farm_id == farm_id))
    row = {"farm_id": farm_id, "version": found.version, "day": found.day, "floors": found.floors, "model": found.model}
    connection.execute(insert(FOLLOWED).values(row))


def is_posted(connection: Connection, farm_id: int, posting: StemPosting) -> bool:
    """Whether the book has this posting already.

    Raises:
        PostingKeyReused: it has another one with this key.
    """
    statement = select(STEM_POSTINGS).where(
        STEM_POSTINGS.c.farm_id == farm_id, STEM_POSTINGS.c.posting_key == posting.key
    )
    found = connection.execute(statement).mappings().one_or_none()
    if found is None:
        return False
    asked = posting_to_json(posting)
    if any(found[name] != value for name, value in asked.items() if name != "key"):
        raise PostingKeyReused(key=posting.key)
    return True


def require_stems(connection: Connection, farm_id: int, posting: StemPosting) -> None:
    """Refuses to take from an account more than it holds; the field is the source and may always give.

    Raises:
        StemsNotThere: the account holds fewer.
    """
    if posting.account_from is Account.FIELD:
        return
    same = (STEM_POSTINGS.c.source == posting.source, STEM_POSTINGS.c.product == str(posting.product))
    held = stem_balances(connection, farm_id, *same)
    there = held.get(Pile(posting.source, posting.product, posting.account_from), 0)
    if there < posting.stems:
        raise StemsNotThere(
            source=posting.source,
            product=str(posting.product),
            account=str(posting.account_from),
            held=there,
            asked=posting.stems,
        )


def write_posting(connection: Connection, farm_id: int, posting: StemPosting, entry: int, n: int) -> None:
    """Adds a posting to the stems book, as the n-th of its entry."""
    row = posting_to_json(posting)
    row["posting_key"] = row.pop("key")
    connection.execute(insert(STEM_POSTINGS).values(farm_id=farm_id, entry_seq=entry, n=n, **row))
