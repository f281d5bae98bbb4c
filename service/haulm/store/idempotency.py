"""Answers kept for requests that may come twice, written in the transaction of the effect they speak of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection, delete, insert, select

from haulm.store.errors import KeyReusedWithOtherBody
from haulm.store.tables.catalogue import IDEMPOTENCY

KEPT = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Asker:
    """Whose key it is: a key means something only for one farm, one actor and one route."""

    farm_id: int
    actor: str
    route: str
    key: str


@dataclass(frozen=True, slots=True)
class StoredAnswer:
    """The answer that was given: its status and its text."""

    status: int
    answer: str


def stored_answer(connection: Connection, asker: Asker, body_hash: str, now: datetime) -> StoredAnswer | None:
    """The answer given before to this request, or None.

    Raises:
        KeyReusedWithOtherBody: the key was used for another body.
    """
    columns = IDEMPOTENCY.c
    statement = select(columns.body_hash, columns.status, columns.answer).where(
        columns.farm_id == asker.farm_id,
        columns.actor == asker.actor,
        columns.route == asker.route,
        columns.key == asker.key,
        columns.at_utc > now - KEPT,
    )
    found = connection.execute(statement).one_or_none()
    if found is None:
        return None
    if found.body_hash != body_hash:
        raise KeyReusedWithOtherBody(key=asker.key)
    return StoredAnswer(found.status, found.answer)


def store_answer(connection: Connection, asker: Asker, body_hash: str, answer: StoredAnswer, now: datetime) -> None:
    """Keeps an answer, and drops those whose time is over."""
    columns = IDEMPOTENCY.c
    connection.execute(delete(IDEMPOTENCY).where(columns.farm_id == asker.farm_id, columns.at_utc <= now - KEPT))
    connection.execute(
        insert(IDEMPOTENCY).values(
            farm_id=asker.farm_id,
            actor=asker.actor,
            route=asker.route,
            key=asker.key,
            body_hash=body_hash,
            status=answer.status,
            answer=answer.answer,
            at_utc=now,
        )
    )
