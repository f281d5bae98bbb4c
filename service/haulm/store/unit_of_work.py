"""The unit of work: the only way anything is written. Entries and tables together, one version up, or nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection

from haulm.errors import NotFound
from haulm.farm.edits import Row as Noun
from haulm.farm.orders import Customer
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.store import books, people, writing
from haulm.store.draft import Draft, Start, draft_of
from haulm.store.errors import FarmEmpty, FarmNotEmpty
from haulm.store.idempotency import Asker, StoredAnswer, store_answer, stored_answer
from haulm.store.journal import (
    Entry,
    EntryDraft,
    FloorRow,
    Followed,
    Pile,
    Promise,
    StemPosting,
    arrange_change,
    clear_change,
    floor_to_json,
    posting_to_json,
    promise_to_json,
    put_change,
    remove_change,
    site_change,
)
from haulm.store.outbox import Letter, Posted, keep_back, letters_numbered, queue_again, queue_letter
from haulm.store.reading import (
    entries_after,
    entries_of,
    floors_from,
    last_entry,
    last_seq,
    promises_where,
    require_seen,
    stem_balances,
)
from haulm.store.rows import COLLECTIONS, Row, collection_of, row_of, site_to_json
from haulm.store.tables.catalogue import PROMISES


class UnitOfWork:
    """One write transaction of one farm, alone until it is left.

    Every method that writes rows joins an entry of this unit of work (`entry=`) or makes one of its own. `save`
    commits; leaving without it leaves nothing behind. After a refusal by the database nothing more can be saved.
    """

    def __init__(self, connection: Connection, start: Start, publish: Callable[[Farm], None]) -> None:
        self._connection = connection
        self._start = start
        self._publish = publish
        self._draft = Draft(start.farm)
        self._entries: list[EntryDraft] = []
        self._first_seq = last_seq(connection, start.farm_id) + 1
        self._letters: list[int] = []
        self._positions: dict[str, int] = {}
        self._farm_values: Row = {}
        self._usable = True

    @property
    def actor(self) -> str:
        """Who writes, as an id."""
        return self._start.actor

    @property
    def now(self) -> datetime:
        """The moment of this unit of work, in UTC."""
        return self._start.now

    @property
    def farm(self) -> Farm:
        """The farm as it was when the lock was taken, at its version.

        Raises:
            FarmEmpty: nothing was imported yet.
        """
        if self._start.farm is None:
            raise FarmEmpty
        return self._start.farm

    @property
    def changed_farm(self) -> Farm:
        """The farm with what was written so far. It has no version of its own yet: no answer may be kept for it.

        Raises:
            FarmEmpty: nothing was imported yet.
        """
        if self._draft.farm is None:
            raise FarmEmpty
        return self._draft.farm

    @property
    def next_seq(self) -> int:
        """The place in the journal that the next entry gets."""
        return self._first_seq + len(self._entries)

    def last_entry(self, kind: str, subject: str) -> Entry | None:
        """The last entry of a kind about a subject that was saved before this unit of work."""
        return last_entry(self._connection, self._start.farm_id, kind, subject)

    def entries_of(self, *kinds: str, about: str | None = None) -> tuple[Entry, ...]:
        """Entries of these kinds that were saved before this unit of work, in order; about one subject, if named."""
        return entries_of(self._connection, self._start.farm_id, kinds, about)

    def entries(self) -> tuple[Entry, ...]:
        """Every entry that was saved before this unit of work, in order."""
        return entries_after(self._connection, self._start.farm_id, 0, None)

    def stem_balances(self) -> dict[Pile, int]:
        """The stems of every pile that is not empty, with what was posted so far."""
        return stem_balances(self._connection, self._start.farm_id)

    def promises(self, line: str, due: date) -> tuple[Promise, ...]:
        """What the book of promises says of a line on a due date, oldest first."""
        wanted = (PROMISES.c.line == line, PROMISES.c.due == due)
        return promises_where(self._connection, self._start.farm_id, *wanted)

    def floors(self, first: date) -> tuple[FloorRow, ...]:
        """What promises last said of floors, of what is due from a day on: a row for each line and delivery."""
        return floors_from(self._connection, self._start.farm_id, first)

    def enter(self, kind: str, subject: str, body: Mapping[str, Any] | None = None, corrects: int | None = None) -> int:
        """Makes an entry and gives its place in the journal; rows, promises and postings may join it.

        Args:
            kind: what happened, in kebab case.
            subject: what it is about, such as `orders/spring-wedding`.
            body: the facts, as JSON; ids of people, never their names.
            corrects: the entry that this one corrects.

        Raises:
            NotFound: there is no entry to correct at that place.
        """
        seq = self.next_seq
        if corrects is not None and not 1 <= corrects < seq:
            raise NotFound(kind="entry", key=str(corrects))
        self._entries.append(EntryDraft(seq, kind, subject, corrects, dict(body or {})))
        return seq

    def replace_farm(self, farm: Farm, *, over_existing: bool = False) -> None:
        """Writes a whole farm, in place of the one that is there only if told so. The books stay as they are.

        Customers with a key that was there before stay the same persons; those that are gone are erased.

        Raises:
            FarmNotEmpty: there is a farm already.
            RowNotAccepted: two rows have the same key.
        """
        if self._draft.farm is not None and not over_existing:
            raise FarmNotEmpty(name=self._draft.farm.site.name)
        draft = draft_of(farm)
        with self._step():
            persons = people.written_people(self._connection, self._start.farm_id, farm.customers, self.now)
            entry = self._joined(None, "farm-imported", "farm")
            before = self._start.farm.customers if self._start.farm is not None else ()
            entry.changes += [clear_change(names=people.are_lost(before, farm.customers)), site_change(farm.site)]
            writing.clear_rows(self._connection, self._start.farm_id)
            self._draft = draft
            self._farm_values["site"] = site_to_json(farm.site)
            for name, collection in COLLECTIONS.items():
                nouns: tuple[Noun, ...] = getattr(farm, name)
                rows = [(collection.key(noun), self._row(noun, persons)) for noun in nouns]
                if rows:
                    self._insert(name, rows, first_position=1)
                    entry.changes.append(put_change(name, rows))

    def site(self, site: Site, *, entry: int | None = None) -> None:
        """Writes the site."""
        with self._step():
            self._draft.write_site(site)
            self._farm_values["site"] = site_to_json(site)
            self._joined(entry, "site-written", "farm").changes.append(site_change(site))

    def put(self, noun: Noun, *, entry: int | None = None, expected_row_version: int | None = None) -> None:
        """Writes one row by its key: in its place, or at the end where the key is new.

        Args:
            noun: the row.
            entry: the entry of this unit of work that it belongs to; None makes one.
            expected_row_version: the version that the writer has seen, 0 for a row that must be new; None: any.

        Raises:
            VersionStale: somebody wrote the row since.
            RowNotAccepted: the key is that of another kind of line.
        """
        collection = collection_of(noun)
        key = collection.key(noun)
        require_seen(self._connection, self._start.farm_id, (collection.name, key), expected_row_version)
        before = self._draft.found(collection.name, key)
        self._draft.put(noun)
        with self._step():
            persons = self._persons(noun, before)
            row = self._row(noun, persons)
            names = before is not None and people.is_named_otherwise(noun, before)
            if before is None:
                self._insert(collection.name, [(key, row)], first_position=self._next_position(collection.name))
            else:
                self._update(collection.name, key, row)
            joined = self._joined(entry, "row-written", f"{collection.name}/{key}")
            joined.changes.append(put_change(collection.name, [(key, row)], names=names))

    def arrange(self, collection: str, keys: Sequence[str], *, entry: int) -> None:
        """Puts all rows of a collection into the order of their keys."""
        joined = self._entry(entry)
        with self._step():
            self._draft.arrange(collection, keys)
            writing.arrange_rows(self._connection, self._start.farm_id, collection, keys)
            self._positions[collection] = len(keys)
            joined.changes.append(arrange_change(collection, keys))

    def remove(
        self, collection: str, key: str, *, entry: int | None = None, expected_row_version: int | None = None
    ) -> None:
        """Takes one row out; a customer's person is erased with it.

        Raises:
            NotFound: there is no such row.
            VersionStale: somebody wrote the row since.
        """
        require_seen(self._connection, self._start.farm_id, (collection, key), expected_row_version)
        self._draft.remove(collection, key)
        with self._step():
            if collection == "customers":
                people.erase_person(self._connection, self._start.farm_id, key, self.now)
            writing.delete_row(self._connection, self._start.farm_id, collection, key)
            joined = self._joined(entry, "row-removed", f"{collection}/{key}")
            joined.changes.append(remove_change(collection, key))

    def erase_person(self, customer: str) -> None:
        """Blanks name, email, phone and words of a customer, and notes about it, for good; the key stands for the name.

        Raises:
            NotFound: there is no such customer.
        """
        found = self._draft.found("customers", customer)
        if not isinstance(found, Customer):
            raise NotFound(kind="customer", key=customer)
        with self._step():
            people.erase_person(self._connection, self._start.farm_id, customer, self.now)
            self._draft.put(replace(found, name=customer, email=None, phone=None))
            self._update("customers", customer, {})
            seq = self.enter("person-erased", f"customers/{customer}")
        for row in people.without_notes(self.changed_farm, customer):
            self.put(row, entry=seq)

    def promise(self, promise: Promise, *, entry: int) -> Promise:
        """Adds a record to the promises book; it resolves the open record of its line and due date, if there is one.

        Raises:
            PromiseOutOfTurn: its state cannot follow; a hold, for example, resolves at most once.
        """
        joined = self._entry(entry)
        asked = replace(promise, entry=entry)
        written = books.promise_in_turn(self._connection, self._start.farm_id, asked)
        with self._step():
            books.write_promise(self._connection, self._start.farm_id, written)
            joined.promises.append(promise_to_json(written))
        return written

    def keep_floors(self, rows: Sequence[FloorRow], *, entry: int) -> None:
        """Adds rows of floors to the book of promises; the last row of a line or delivery stands."""
        joined = self._entry(entry)
        asked = [replace(row, entry=entry, version=self._start.version + 1) for row in rows]
        with self._step():
            written = books.write_floors(self._connection, self._start.farm_id, asked)
            joined.floors.extend(map(floor_to_json, written))

    def follow_floors(self, day: date, floors: bytes, model: int) -> None:
        """Notes, beside the journal, what the floors are at the version that this work saves; to be called last."""
        version = self._start.version + bool(self._entries)
        with self._step():
            books.write_followed(self._connection, self._start.farm_id, Followed(version, day, floors, model))

    def post(self, posting: StemPosting, *, entry: int) -> bool:
        """Moves stems from one account to another; False where the same posting was made before.

        Raises:
            PostingKeyReused: the key stands for other stems.
            StemsNotThere: the account that gives holds fewer; the field always gives.
        """
        joined = self._entry(entry)
        if books.is_posted(self._connection, self._start.farm_id, posting):
            return False
        books.require_stems(self._connection, self._start.farm_id, posting)
        with self._step():
            joined.stems.append(posting_to_json(posting))
            books.write_posting(self._connection, self._start.farm_id, posting, entry, len(joined.stems))
        return True

    def send(self, letter: Letter) -> bool:
        """Puts a letter into the outbox, in the same transaction as what it tells of; False where it is there."""
        with self._step():
            number = queue_letter(self._connection, self._start.farm_id, letter, self.now)
        if number is not None:
            self._letters.append(number)
        return number is not None

    def send_again(self, number: int) -> bool:
        """Lets a letter that was given up or bounced be tried anew; False where there is no such letter."""
        with self._step():
            return queue_again(self._connection, self._start.farm_id, number, self.now)

    def letters(self, numbers: Sequence[int]) -> tuple[Posted, ...]:
        """Letters by their numbers, in order."""
        return letters_numbered(self._connection, self._start.farm_id, numbers)

    def keep_back(self, number: int) -> bool:
        """Leaves a letter out that still waits; False where it may have gone by now."""
        with self._step():
            return keep_back(self._connection, self._start.farm_id, number, self.now)

    def answered(self, route: str, key: str, body_hash: str) -> StoredAnswer | None:
        """The answer given before to the same request of this actor, or None.

        Raises:
            KeyReusedWithOtherBody: the key was used for another body.
        """
        return stored_answer(self._connection, self._asker(route, key), body_hash, self.now)

    def remember(self, route: str, key: str, body_hash: str, answer: StoredAnswer) -> None:
        """Keeps an answer for the same request, should it come again within 30 days; it must hold no names."""
        with self._step():
            store_answer(self._connection, self._asker(route, key), body_hash, answer, self.now)

    def save(self) -> int:
        """Commits and gives the farm's version: one higher, if there are entries. Nothing can be written afterwards."""
        assert self._usable, "a unit of work that was refused or saved cannot be saved"
        self._usable = False
        version = self._start.version
        if self._entries:
            version += 1
            self._entries[-1].letters = self._letters
            connection, farm_id = self._connection, self._start.farm_id
            shared = {"farm_id": farm_id, "version": version, "at_utc": self.now, "actor": self.actor}
            writing.write_entries(connection, [{**shared, **entry.row} for entry in self._entries])
            writing.write_farm(connection, farm_id, {**self._farm_values, **writing.versions(version, self._entries)})
        self._connection.commit()
        if self._draft.farm is not None:
            self._publish(replace(self._draft.farm, version=version))
        return version

    @contextmanager
    def _step(self) -> Iterator[None]:
        """A step that is done wholly, or makes the unit of work unfit to be saved."""
        assert self._usable, "a unit of work that was refused or saved cannot be written to"
        self._usable = False
        yield
        self._usable = True

    def _entry(self, seq: int) -> EntryDraft:
        assert self._first_seq <= seq < self.next_seq, f"entry {seq} is not of this unit of work"
        return self._entries[seq - self._first_seq]

    def _joined(self, seq: int | None, kind: str, subject: str) -> EntryDraft:
        return self._entry(self.enter(kind, subject) if seq is None else seq)

    def _row(self, noun: Noun, persons: Mapping[str, int]) -> Row:
        row = row_of(noun)
        return {"person": persons[noun.key], **row} if isinstance(noun, Customer) else row

    def _persons(self, noun: Noun, before: Noun | None) -> dict[str, int]:
        if not isinstance(noun, Customer):
            return {}
        known = before if isinstance(before, Customer) else None
        return {noun.key: people.written_person(self._connection, self._start.farm_id, noun, known)}

    def _insert(self, collection: str, rows: list[tuple[str, Row]], *, first_position: int) -> None:
        shared = {"farm_id": self._start.farm_id, "row_version": self._start.version + 1}
        numbered = [
            {**shared, "key": key, "position": position, **row}
            for position, (key, row) in enumerate(rows, start=first_position)
        ]
        writing.insert_rows(self._connection, collection, numbered)
        self._positions[collection] = first_position + len(rows) - 1

    def _update(self, collection: str, key: str, row: Row) -> None:
        values = {**row, "row_version": self._start.version + 1}
        writing.update_row(self._connection, self._start.farm_id, collection, key, values)

    def _next_position(self, collection: str) -> int:
        if collection not in self._positions:
            last = writing.last_position(self._connection, self._start.farm_id, collection)
            self._positions[collection] = last
        return self._positions[collection] + 1

    def _asker(self, route: str, key: str) -> Asker:
        return Asker(self._start.farm_id, self.actor, route, key)
