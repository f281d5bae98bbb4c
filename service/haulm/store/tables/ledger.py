"""Tables of the farm itself, its entries, its people, the two books and the answers kept for repeated requests."""

import datetime as dt
from typing import Any

from sqlalchemy import JSON, BigInteger, Index, UniqueConstraint
from sqlmodel import Field, SQLModel

from haulm.farm.words import OrderPart
from haulm.store.tables.parts import at_least, check, one_of, reference
from haulm.store.words import Account, PromiseState


class FarmTable(SQLModel, table=True):
    """One farm: its version, the last that changed what is matched, its site as JSON (empty until the first import)."""

    __tablename__ = "farms"
    __table_args__ = (at_least("farms", "version", 0), at_least("farms", "changed_version", 0))

    id: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    version: int
    changed_version: int = Field(sa_column_kwargs={"server_default": "0"})
    site: dict[str, Any] | None = Field(sa_type=JSON(none_as_null=True))


class EntryRow(SQLModel, table=True):
    """What was written, in order, and the farm's version it made. Triggers refuse every UPDATE and DELETE."""

    __tablename__ = "entries"
    __table_args__ = (
        Index("ix_entries_subject", "farm_id", "kind", "subject"),
        at_least("entries", "seq", 1),
        check("entries", "corrects", '"corrects" < "seq"'),
        reference("entries", "corrects", "entries", "seq"),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    seq: int = Field(primary_key=True)
    version: int
    at_utc: dt.datetime
    actor: str
    kind: str
    subject: str
    corrects: int | None
    body: dict[str, Any] = Field(sa_type=JSON)


class PersonRow(SQLModel, table=True):
    """Names, emails and phone numbers: here and nowhere else. Erasing blanks the row."""

    __tablename__ = "people"
    __table_args__ = (
        check("people", "erased", '"erased_at_utc" IS NULL OR ("name" = \'\' AND "email" IS NULL)'),
        check("people", "phone_erased", '"erased_at_utc" IS NULL OR "phone" IS NULL'),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    id: int = Field(primary_key=True)
    name: str
    email: str | None
    phone: str | None
    erased_at_utc: dt.datetime | None


class OwnWordsRow(SQLModel, table=True):
    """Words of a customer or a note about one that an entry would hold: under the entry and the place in its body."""

    __tablename__ = "own_words"
    __table_args__ = (
        reference("own_words", "entry_seq", "entries", "seq"),
        reference("own_words", "person", "people", "id"),
        Index("ix_own_words_person", "farm_id", "person"),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    entry_seq: int = Field(primary_key=True)
    place: str = Field(primary_key=True)
    person: int
    words: str


class PromiseRow(SQLModel, table=True):
    """The promises book. A record is never edited; a later one resolves it, at most once."""

    __tablename__ = "promises"
    __table_args__ = (
        reference("promises", "entry_seq", "entries", "seq"),
        reference("promises", "resolves", "promises", "number"),
        UniqueConstraint("farm_id", "resolves", name="uq_promises_resolves"),
        Index("ix_promises_line", "farm_id", "line", "due"),
        one_of("promises", "state", PromiseState),
        at_least("promises", "stems", 0),
        check("promises", "confidence", '"confidence" BETWEEN 0 AND 1'),
        check("promises", "resolves", '"resolves" < "number"'),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    number: int = Field(primary_key=True)
    entry_seq: int
    line: str
    due: dt.date
    order: str
    state: str
    stems: int
    confidence: float | None
    resolves: int | None


class FloorRow(SQLModel, table=True):
    """What the book of promises keeps of floors: of a line on its due day, or (line empty) of a delivery as a whole.

    A row is never edited; the last one of a line or delivery stands. `causes` is empty where a promise wrote the row,
    and `by_promise` is true.
    """

    __tablename__ = "floors"
    __table_args__ = (
        reference("floors", "entry_seq", "entries", "seq"),
        Index("ix_floors_due", "farm_id", "by_promise", "due"),
        check(
            "floors", "shares", '"level" BETWEEN 0 AND 1 AND "confidence" BETWEEN 0 AND 1 AND "floor" BETWEEN 0 AND 1'
        ),
        check("floors", "debt", '"debt" BETWEEN 0 AND 1'),
        one_of("floors", "part", OrderPart),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    number: int = Field(primary_key=True)
    entry_seq: int
    version: int
    day: dt.date
    order: str
    due: dt.date
    line: str | None
    part: str | None
    level: float
    confidence: float
    floor: float
    debt: float
    causes: list[str] = Field(sa_type=JSON)
    by_promise: bool


class FollowedRow(SQLModel, table=True):
    """What the floors were when they were last looked at, packed; by it a fall that nothing explains is seen."""

    __tablename__ = "floors_followed"

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    version: int
    day: dt.date
    floors: bytes
    model: int = Field(sa_column_kwargs={"server_default": "1"})


class StemPostingRow(SQLModel, table=True):
    """The stems book. A posting moves stems from one account to another, so the book balances by construction."""

    __tablename__ = "stem_postings"
    __table_args__ = (
        reference("stem_postings", "entry_seq", "entries", "seq"),
        UniqueConstraint("farm_id", "posting_key", name="uq_stem_postings_posting_key"),
        Index("ix_stem_postings_source", "farm_id", "source", "product"),
        one_of("stem_postings", "account_from", Account),
        one_of("stem_postings", "account_to", Account),
        check("stem_postings", "moves", '"account_from" <> "account_to"'),
        at_least("stem_postings", "stems", 1),
        at_least("stem_postings", "n", 1),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    entry_seq: int = Field(primary_key=True)
    n: int = Field(primary_key=True)
    posting_key: str
    product: str
    source: str
    account_from: str
    account_to: str
    stems: int = Field(sa_type=BigInteger)


class AnswerRow(SQLModel, table=True):
    """The answer given to a request that carried an idempotency key; kept 30 days."""

    __tablename__ = "idempotency"
    __table_args__ = (Index("ix_idempotency_at_utc", "farm_id", "at_utc"),)

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    actor: str = Field(primary_key=True)
    route: str = Field(primary_key=True)
    key: str = Field(primary_key=True)
    body_hash: str
    status: int
    answer: str
    at_utc: dt.datetime
