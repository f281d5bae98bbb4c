"""Tables of what is worked out in the background. They follow from the farm, and are no part of its journal."""

import datetime as dt
from typing import Any

from sqlalchemy import JSON
from sqlmodel import Field, SQLModel

from haulm.store.tables.parts import check


class GapRow(SQLModel, table=True):
    """A gap under the name it keeps, and its days as they were last worked out (empty until then).

    `lines` are its short lines, each with its due day; `merged` the names of gaps that have become part of it.
    """

    __tablename__ = "gaps"
    __table_args__ = (
        check(
            "gaps",
            "worked_out",
            '("act_by" IS NULL) = ("tell_by" IS NULL) AND ("act_by" IS NULL) = ("way" IS NULL) '
            'AND ("act_by" IS NULL) = ("at_utc" IS NULL)',
        ),
    )

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    name: str = Field(primary_key=True)
    asked: str
    lines: list[list[str]] = Field(sa_type=JSON)
    merged: list[str] = Field(sa_type=JSON)
    split_from: str | None
    act_by: dt.date | None
    last_chance: dt.date | None
    last_way: dt.date | None
    tell_by: dt.date | None
    kind: str | None
    way: str | None
    version: int | None
    day: dt.date | None
    model: int | None
    shape: str | None
    at_utc: dt.datetime | None


class GapWaysRow(SQLModel, table=True):
    """The ways to close a gap as they were worked out with its days, and what their JSON is made of."""

    __tablename__ = "gap_ways"

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    name: str = Field(primary_key=True)
    shape: str
    ways: dict[str, Any] = Field(sa_type=JSON)


class GapsFollowedRow(SQLModel, table=True):
    """The version, day and model for which names were last written, and whether all days are worked out for them.

    `writes` rises with everything that is written of gaps.
    """

    __tablename__ = "gaps_followed"

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    version: int
    day: dt.date
    model: int
    shape: str | None
    is_done: bool
    writes: int


class GapJobsRow(SQLModel, table=True):
    """What the recommended way of each gap is and does, by the gap's name, and for what it was worked out.

    `writes` rises with everything that is written of it.
    """

    __tablename__ = "gap_jobs"

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    version: int
    day: dt.date
    model: int
    is_done: bool
    writes: int
    by_gap: dict[str, dict[str, Any]] = Field(sa_type=JSON)


class LeaseRow(SQLModel, table=True):
    """Who is at work on a job, and until when nobody else takes it."""

    __tablename__ = "leases"

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    job: str = Field(primary_key=True)
    worker: str
    until_utc: dt.datetime


class SeasonPlanRow(SQLModel, table=True):
    """A combined plan that was asked for at a level (`own`: each line's own), how far it is, what was found last.

    `shape` says what both JSONs are made of.
    """

    __tablename__ = "season_plans"

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    level: str = Field(primary_key=True)
    asked_utc: dt.datetime
    is_waiting: bool
    shape: str
    begun: dict[str, Any] | None = Field(sa_type=JSON)
    found: dict[str, Any] | None = Field(sa_type=JSON)
    found_utc: dt.datetime | None
