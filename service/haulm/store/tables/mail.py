"""Tables of mail on its way out, and of what was done at its time. Neither holds a name or an address for good."""

import datetime as dt
from typing import Any

from sqlalchemy import JSON, Index, LargeBinary, UniqueConstraint
from sqlmodel import Field, SQLModel

from haulm.store.tables.parts import at_least, one_of
from haulm.store.words import LetterState


class LetterRow(SQLModel, table=True):
    """One letter: what it says as frozen facts, and how far it has come.

    `content` holds the mail's bytes, with names and addresses, from its first claim until it is sent or given up.
    `is_handed_over` stands while nobody knows whether the mail server has taken the mail.
    """

    __tablename__ = "outbox"
    __table_args__ = (
        UniqueConstraint("farm_id", "key", name="uq_outbox_key"),
        Index("ix_outbox_due", "farm_id", "state", "due_at_utc"),
        one_of("outbox", "state", LetterState),
        at_least("outbox", "number", 1),
        at_least("outbox", "tries", 0),
        at_least("outbox", "repeats", 0),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    number: int = Field(primary_key=True)
    key: str
    kind: str
    customer: str | None
    facts: dict[str, Any] = Field(sa_type=JSON)
    made_at_utc: dt.datetime
    due_at_utc: dt.datetime
    lease_until_utc: dt.datetime | None
    worker: str | None
    state: str
    tries: int
    repeats: int
    is_handed_over: bool
    message_id: str | None
    content: bytes | None = Field(sa_type=LargeBinary)
    answer: str


class DoneJobRow(SQLModel, table=True):
    """A job that was done for a period, so that it is done once."""

    __tablename__ = "done_jobs"

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    job: str = Field(primary_key=True)
    period: str = Field(primary_key=True)
    at_utc: dt.datetime
