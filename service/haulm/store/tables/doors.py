"""Tables of who may come in. They hold no facts of the farm, only digests, and are no part of its journal."""

import datetime as dt

from sqlmodel import Field, SQLModel

from haulm.store.tables.parts import one_of
from haulm.store.words import DoorRole, PassKind


class PasswordRow(SQLModel, table=True):
    """The password of a role, as an Argon2 hash."""

    __tablename__ = "passwords"
    __table_args__ = (one_of("passwords", "role", DoorRole),)

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    role: str = Field(primary_key=True)
    hash: str
    set_at_utc: dt.datetime


class SessionRow(SQLModel, table=True):
    """A browser that logged in, or a program with a token: the digest of what it shows, and until when it holds."""

    __tablename__ = "sessions"
    __table_args__ = (one_of("sessions", "role", DoorRole), one_of("sessions", "kind", PassKind))

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    digest: str = Field(primary_key=True)
    role: str
    kind: str
    made_at_utc: dt.datetime
    used_at_utc: dt.datetime
    ends_at_utc: dt.datetime
