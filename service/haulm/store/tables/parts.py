"""What every table shares: its farm, and the checks that repeat the nouns' invariants in SQL."""

from collections.abc import Iterable
from enum import StrEnum

from sqlalchemy import CheckConstraint, ForeignKeyConstraint
from sqlmodel import Field, SQLModel

from haulm.farm.limits import NUMBERS, ONCE_ACCEPTED, Limits

# Named, so that a later migration can say which constraint it means on both databases.
SQLModel.metadata.naming_convention = {
    "pk": "pk_%(table_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
}


class FarmRow(SQLModel):
    """The columns of every table that holds a file of the farm folder.

    `key` is unique per farm (for rows without a key of their own: their natural key as text), `position` keeps the
    order in which rows were written, `row_version` is the farm's version that wrote the row last.
    """

    farm_id: int = Field(primary_key=True, foreign_key="farms.id")
    key: str = Field(primary_key=True)
    position: int
    row_version: int


def check(table: str, name: str, sql: str) -> CheckConstraint:
    """A named CHECK of a table."""
    return CheckConstraint(sql, name=f"ck_{table}_{name}")


def at_least(table: str, column: str, least: int) -> CheckConstraint:
    """A CHECK that a number is never less than `least` (an empty one passes)."""
    return check(table, column, f'"{column}" >= {least}')


def within_limits(table: str) -> list[CheckConstraint]:
    """CHECKs that the numbers of a collection are within the farm's limits, or were once (empty ones pass)."""
    found = {**NUMBERS[table], **ONCE_ACCEPTED.get(table, {})}
    return [check(table, column, _within(column, limits)) for column, limits in found.items()]


def not_before(table: str, column: str, other: str) -> CheckConstraint:
    """A CHECK that a date, week or number is not before another column's (empty ones pass)."""
    return check(table, f"{column}_not_before", f'"{column}" >= "{other}"')


def one_of(table: str, column: str, words: Iterable[StrEnum]) -> CheckConstraint:
    """A CHECK that a text is one of a closed vocabulary (an empty one passes)."""
    return check(table, column, f'"{column}" IN ({", ".join(repr(str(word)) for word in words)})')


def reference(table: str, column: str, target: str, target_column: str = "key") -> ForeignKeyConstraint:
    """A reference within one farm, looked at when the transaction ends, so that rows may be written in any order."""
    return ForeignKeyConstraint(
        ("farm_id", column),
        (f"{target}.farm_id", f"{target}.{target_column}"),
        name=f"fk_{table}_{column}",
        deferrable=True,
        initially="DEFERRED",
    )


def _within(column: str, limits: Limits) -> str:
    if limits.is_open:
        return f'"{column}" > {limits.low:.15g} AND "{column}" < {limits.high:.15g}'
    return f'"{column}" BETWEEN {limits.low:.15g} AND {limits.high:.15g}'
