"""Entries and the two books: what is written for good, and what farm and books are when read from entries alone.

An entry's body holds the facts of its kind, the changes of rows, the promises and the postings made with it. The tables
hold the same, made for asking; `rebuilt_farm` and `rebuilt_books` say what they must be. Names and addresses
are apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from haulm.farm.products import Product
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderPart
from haulm.store.draft import Draft
from haulm.store.errors import FarmEmpty
from haulm.store.rows import COLLECTIONS, Row, noun_from, plain, site_from_json, site_to_json
from haulm.store.words import Account, PromiseState

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Entry:
    """What was written in one go.

    Attributes:
        seq: its place in the farm's journal, 1 first, without gaps.
        version: the farm's version that it made, shared by the entries of one unit of work.
        at_utc: when.
        actor: who, as an id, never as a name.
        kind: what happened, in kebab case.
        subject: what it is about: a collection and a key, such as `orders/spring-wedding`.
        corrects: the entry that this one corrects.
        body: facts, changes, promises and stems, as JSON.
    """

    seq: int
    version: int
    at_utc: datetime
    actor: str
    kind: str
    subject: str
    corrects: int | None
    body: Mapping[str, Any]

    @property
    def facts(self) -> Mapping[str, Any]:
        """The facts of its kind, as whoever entered it gave them."""
        facts: Mapping[str, Any] = self.body.get("facts", {})
        return facts


@dataclass(frozen=True, slots=True)
class Promise:
    """One record of the promises book: a line on a due date enters a state, with so many stems, so sure (0-1).

    The store gives `number`, `entry` and `resolves` (the record that this one follows) when it is written.
    """

    line: str
    due: date
    order: str
    state: PromiseState
    stems: int
    confidence: float | None = None
    number: int = 0
    entry: int = 0
    resolves: int | None = None


@dataclass(frozen=True, slots=True)
class FloorRow:
    """A row of the book of promises: what is kept of the floor of a line on its due day, or of a delivery as a whole.

    Attributes:
        order, due: whose delivery.
        line: the line; None for the delivery as a whole.
        level: the level it was promised at, 0-1.
        confidence: how sure it is, 0-1.
        floor: what it may not fall below by another promise, 0-1.
        debt: what accepted promises have taken from the floor, 0-1.
        day: the farm's day on which it was written.
        causes: what moved the floor, in words; empty where a promise wrote the row.
        part: where the order has two parts, the inner one that is meant; None for a line, or for all of the delivery.
        version, number, entry: given by the store when it is written.
    """

    order: str
    due: date
    line: str | None
    level: float
    confidence: float
    floor: float
    debt: float
    day: date
    causes: tuple[str, ...] = ()
    part: OrderPart | None = None
    version: int = 0
    number: int = 0
    entry: int = 0


@dataclass(frozen=True, slots=True)
class Followed:
    """The farm's version and day at which floors were last looked at, and what they were, packed by who looked.

    `model` is the number of the forecast model whose figures they rest on.
    """

    version: int
    day: date
    floors: bytes
    model: int


@dataclass(frozen=True, slots=True)
class StemPosting:
    """Stems of a product, from one batch or stock, that leave one account for another; `key` makes it happen once."""

    key: str
    product: Product
    source: str
    account_from: Account
    account_to: Account
    stems: int


@dataclass(frozen=True, slots=True, order=True)
class Pile:
    """What a balance is kept of: a product from one batch or stock, in an account."""

    source: str
    product: Product
    account: Account


@dataclass(frozen=True, slots=True)
class Books:
    """Both books as the entries say them: promises and floors in order, the stems of every pile that is not empty."""

    promises: tuple[Promise, ...]
    balances: Mapping[Pile, int]
    floors: tuple[FloorRow, ...] = ()


@dataclass(slots=True)
class EntryDraft:
    """An entry in the making: a unit of work adds to its body until it saves."""

    seq: int
    kind: str
    subject: str
    corrects: int | None
    facts: Json
    changes: list[Json] = field(default_factory=list)
    promises: list[Json] = field(default_factory=list)
    floors: list[Json] = field(default_factory=list)
    stems: list[Json] = field(default_factory=list)
    letters: list[int] = field(default_factory=list)

    @property
    def is_matched(self) -> bool:
        """Whether it changes what a match reads: rows, promises, stems. A letter that was sent, for one, is none."""
        return bool(self.changes or self.promises or self.stems)

    @property
    def body(self) -> Json:
        """The body as it will be kept; parts without content are left out."""
        parts = {
            "facts": self.facts,
            "changes": self.changes,
            "promises": self.promises,
            "floors": self.floors,
            "stems": self.stems,
            "letters": self.letters,
        }
        return {name: part for name, part in parts.items() if part}

    @property
    def row(self) -> Json:
        """What its row says of it alone."""
        what = {"seq": self.seq, "kind": self.kind, "subject": self.subject, "corrects": self.corrects}
        return {**what, "body": self.body}


def rebuilt_farm(entries: Iterable[Entry]) -> Farm:
    """The farm that the entries say, oldest first. A customer's key stands for the name, which is kept elsewhere.

    Raises:
        FarmEmpty: no entry wrote a site.
    """
    draft = Draft(None)
    version = 0
    for entry in entries:
        for change in entry.body.get("changes", ()):
            _apply(draft, change)
        version = entry.version
    if draft.farm is None:
        raise FarmEmpty
    return replace(draft.farm, version=version)


def farms_along(entries: Iterable[Entry]) -> Iterator[tuple[Entry, Farm | None, Farm | None]]:
    """Every entry, oldest first, with the farm before and after it; None before the first site was written."""
    draft = Draft(None)
    before: Farm | None = None
    for entry in entries:
        for change in entry.body.get("changes", ()):
            _apply(draft, change)
        after = None if draft.farm is None else replace(draft.farm, version=entry.version)
        yield entry, before, after
        before = after


def rebuilt_books(entries: Iterable[Entry]) -> Books:
    """The two books that the entries say, oldest first."""
    promises: list[Promise] = []
    floors: list[FloorRow] = []
    balances: dict[Pile, int] = {}
    for entry in entries:
        promises += [promise_from_json(item, entry.seq) for item in entry.body.get("promises", ())]
        floors += [floor_from_json(item, entry) for item in entry.body.get("floors", ())]
        for item in entry.body.get("stems", ()):
            posting = posting_from_json(item)
            for account, sign in ((posting.account_from, -1), (posting.account_to, 1)):
                pile = Pile(posting.source, posting.product, account)
                balances[pile] = balances.get(pile, 0) + sign * posting.stems
    return Books(tuple(promises), {pile: stems for pile, stems in balances.items() if stems}, tuple(floors))


def clear_change(*, names: bool) -> Json:
    """The change that takes every row out; `names` where names or addresses of people are lost by it."""
    return {"do": "clear", "names": names}


def site_change(site: Site) -> Json:
    """The change that writes the site."""
    return {"do": "site", "site": site_to_json(site)}


def put_change(collection: str, rows: Sequence[tuple[str, Row]], *, names: bool = False) -> Json:
    """The change that writes rows, each with its key; the names of the columns are written once.

    `names` where a name or an address was changed with it: these are kept elsewhere, and no entry can tell them.
    """
    columns = list(rows[0][1])
    values = [[key, *plain(row).values()] for key, row in rows]
    change = {"do": "put", "collection": collection, "columns": ["key", *columns], "rows": values}
    return {**change, "names": True} if names else change


def remove_change(collection: str, key: str) -> Json:
    """The change that takes one row out."""
    return {"do": "remove", "collection": collection, "key": key}


def arrange_change(collection: str, keys: Sequence[str]) -> Json:
    """The change that puts the rows of a collection into an order."""
    return {"do": "arrange", "collection": collection, "keys": list(keys)}


def promise_to_json(promise: Promise) -> Json:
    """A promise as an entry keeps it; the entry itself is not named."""
    return {
        "number": promise.number,
        "line": promise.line,
        "due": promise.due.isoformat(),
        "order": promise.order,
        "state": str(promise.state),
        "stems": promise.stems,
        "confidence": promise.confidence,
        "resolves": promise.resolves,
    }


def promise_from_json(item: Mapping[str, Any], entry: int) -> Promise:
    """The promise that an entry keeps."""
    values = {**item, "due": date.fromisoformat(item["due"]), "state": PromiseState(item["state"])}
    return Promise(**values, entry=entry)


def floor_to_json(row: FloorRow) -> Json:
    """A row of floors as an entry keeps it; the entry itself and its version are not named."""
    return {
        "number": row.number,
        "order": row.order,
        "due": row.due.isoformat(),
        "line": row.line,
        "level": row.level,
        "confidence": row.confidence,
        "floor": row.floor,
        "debt": row.debt,
        "day": row.day.isoformat(),
        "causes": list(row.causes),
        "part": row.part,
    }


def floor_from_json(item: Mapping[str, Any], entry: Entry) -> FloorRow:
    """The row of floors that an entry keeps."""
    dates = {name: date.fromisoformat(item[name]) for name in ("due", "day")}
    part = OrderPart(item["part"]) if item.get("part") else None
    values = {**item, **dates, "causes": tuple(item["causes"]), "part": part}
    return FloorRow(**values, version=entry.version, entry=entry.seq)


def posting_to_json(posting: StemPosting) -> Json:
    """A posting as an entry keeps it."""
    return {
        "key": posting.key,
        "product": str(posting.product),
        "source": posting.source,
        "account_from": str(posting.account_from),
        "account_to": str(posting.account_to),
        "stems": posting.stems,
    }


def posting_from_json(item: Mapping[str, Any]) -> StemPosting:
    """The posting that an entry keeps."""
    return StemPosting(
        item["key"],
        Product.parse(item["product"]),
        item["source"],
        Account(item["account_from"]),
        Account(item["account_to"]),
        item["stems"],
    )


def _apply(draft: Draft, change: Mapping[str, Any]) -> None:
    match change["do"]:
        case "clear":
            draft.clear()
        case "site":
            draft.write_site(site_from_json(change["site"]))
        case "put":
            collection = COLLECTIONS[change["collection"]]
            for values in change["rows"]:
                row = dict(zip(change["columns"], values, strict=True))
                draft.put(noun_from(collection, row["key"], row))
        case "remove":
            draft.remove(change["collection"], change["key"])
        case "arrange":
            draft.arrange(change["collection"], change["keys"])
        case unknown:
            raise AssertionError(f"an entry holds the change '{unknown}'")
