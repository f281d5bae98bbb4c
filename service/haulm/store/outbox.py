"""The outbox: letters are written in the transaction of what they tell of, and sent outside of any, once each.

A letter is claimed for a while, so that of many workers one has it. What a mail server answered is written down; where
its last answer was lost nobody knows whether it took the mail, and only then is it sent again: the same bytes under the
same Message-ID, counted as a repeat.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, Integer, RowMapping, and_, bindparam, func, insert, or_, select, update
from sqlalchemy.exc import IntegrityError

from haulm.store.tables.catalogue import DONE_JOBS, OUTBOX
from haulm.store.words import LetterState

LEASE = timedelta(minutes=5)
_FREE_WORDS = ("note", "reason")
KEPT_BACK = "taken back before it was sent"
LATEST = 200
"""So many letters are looked at, the newest first."""
BACK_OFF = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 240, 720, 1440))
"""How long a letter waits after each try that failed for now; after the last one it is given up."""

_STATES = (
    select(OUTBOX.c.state)
    .where(OUTBOX.c.farm_id == bindparam("farm_id"))
    .order_by(OUTBOX.c.number.desc())
    .limit(bindparam("most", type_=Integer))
)

Opened = Callable[[], AbstractContextManager[Connection]]


@dataclass(frozen=True, slots=True)
class Letter:
    """Something to be told by mail: what, to whom, and the facts as they stood.

    Attributes:
        kind: what kind of letter it is.
        customer: the key of the customer it is for; None: the farm itself.
        facts: what it says, as JSON without names or addresses.
        key: what makes it this one letter; a second with the same key is not written.
    """

    kind: str
    customer: str | None
    facts: Mapping[str, Any]
    key: str


@dataclass(frozen=True, slots=True)
class Claimed:
    """A letter that one worker has for a while; `content` is there from its first claim on."""

    number: int
    letter: Letter
    made_at: datetime
    tries: int
    is_repeat: bool
    message_id: str | None
    content: bytes | None = field(repr=False)


@dataclass(frozen=True, slots=True)
class Posted:
    """How far a letter has come."""

    number: int
    kind: str
    customer: str | None
    made_at: datetime
    due_at: datetime
    state: LetterState
    tries: int
    repeats: int
    message_id: str | None
    answer: str


def queue_letter(connection: Connection, farm_id: int, letter: Letter, now: datetime) -> int | None:
    """Write a letter into the outbox and give its number; None where its key is there already."""
    mine = OUTBOX.c.farm_id == farm_id
    if connection.execute(select(OUTBOX.c.number).where(mine, OUTBOX.c.key == letter.key)).first() is not None:
        return None
    last = connection.execute(select(func.max(OUTBOX.c.number)).where(mine)).scalar_one() or 0
    values = {
        "farm_id": farm_id,
        "number": last + 1,
        "key": letter.key,
        "kind": letter.kind,
        "customer": letter.customer,
        "facts": dict(letter.facts),
        "made_at_utc": now,
        "due_at_utc": now,
        "state": str(LetterState.WAITING),
        "tries": 0,
        "repeats": 0,
        "is_handed_over": False,
        "answer": "",
    }
    connection.execute(insert(OUTBOX).values(**values))
    return int(last) + 1


def letters_numbered(connection: Connection, farm_id: int, numbers: Sequence[int]) -> tuple[Posted, ...]:
    """Letters by their numbers, in order."""
    columns = OUTBOX.c
    statement = select(OUTBOX).where(columns.farm_id == farm_id, columns.number.in_(numbers)).order_by(columns.number)
    return tuple(_posted(row) for row in connection.execute(statement).mappings())


def keep_back(connection: Connection, farm_id: int, number: int, now: datetime) -> bool:
    """Leave a letter out that still waits; False where it may have gone by now, or somebody is about to send it."""
    columns = OUTBOX.c
    free = or_(columns.lease_until_utc.is_(None), columns.lease_until_utc < now)
    waits = (columns.state == str(LetterState.WAITING), columns.is_handed_over.is_(False), free)
    mine = (columns.farm_id == farm_id, columns.number == number, *waits)
    left_out = {"state": str(LetterState.LEFT_OUT), "answer": KEPT_BACK, "content": None}
    return connection.execute(update(OUTBOX).where(*mine).values(**left_out)).rowcount == 1


def queue_again(connection: Connection, farm_id: int, number: int, now: datetime) -> bool:
    """Let a letter that was given up, bounced or kept back wait to be tried anew; False where it is no such one."""
    columns = OUTBOX.c
    failed = columns.state.in_([str(LetterState.GIVEN_UP), str(LetterState.BOUNCED)])
    ended = or_(failed, and_(columns.state == str(LetterState.LEFT_OUT), columns.answer == KEPT_BACK))
    anew = {"state": str(LetterState.WAITING), "due_at_utc": now, "tries": 0, "message_id": None, "answer": ""}
    mine = (columns.farm_id == farm_id, columns.number == number, ended)
    return connection.execute(update(OUTBOX).where(*mine).values(**anew)).rowcount == 1


def forget_letters(connection: Connection, farm_id: int, customer: str) -> None:
    """Takes free words, the mail itself and what a mail server answered out of the letters to a customer.

    One that still waits is left out, also where a worker is about to send it.
    """
    columns = OUTBOX.c
    mine = (columns.farm_id == farm_id, columns.customer == customer)
    found = connection.execute(select(columns.number, columns.state, columns.facts).where(*mine)).all()
    for row in found:
        waits = row.state == str(LetterState.WAITING)
        values: dict[str, Any] = {"facts": _without_words(row.facts), "content": None, "answer": ""}
        if waits:
            values |= {"state": str(LetterState.LEFT_OUT), "worker": None, "lease_until_utc": None}
        connection.execute(update(OUTBOX).where(*mine, columns.number == row.number).values(**values))


def _without_words(facts: Any) -> Any:
    if isinstance(facts, Mapping):
        return {
            name: "" if name in _FREE_WORDS and isinstance(value, str) else _without_words(value)
            for name, value in facts.items()
        }
    return [_without_words(one) for one in facts] if isinstance(facts, list) else facts


class Outbox:
    """The outbox of one farm, over connections that the store gives."""

    def __init__(self, read: Opened, write: Opened, farm_id: int) -> None:
        self._read = read
        self._write = write
        self._farm_id = farm_id

    def claim(self, worker: str, now: datetime, most: int) -> tuple[Claimed, ...]:
        """Take up to so many letters that are due, for a while and for one worker alone."""
        columns = OUTBOX.c
        free = or_(columns.lease_until_utc.is_(None), columns.lease_until_utc < now)
        due = (columns.farm_id == self._farm_id, columns.state == str(LetterState.WAITING), columns.due_at_utc <= now)
        statement = select(OUTBOX).where(*due, free).order_by(columns.number).limit(most)
        with self._write() as connection:
            rows = connection.execute(statement.with_for_update(skip_locked=True)).mappings().all()
            numbers = [row["number"] for row in rows]
            taken = update(OUTBOX).where(columns.farm_id == self._farm_id, columns.number.in_(numbers))
            connection.execute(taken.values(lease_until_utc=now + LEASE, worker=worker))
        return tuple(_claimed(row) for row in rows)

    def keep_content(self, worker: str, number: int, message_id: str, content: bytes) -> None:
        """Keep a letter's bytes, which every later try sends unchanged."""
        self._note(worker, number, message_id=message_id, content=content)

    def hand_over(self, worker: str, claimed: Claimed, now: datetime) -> bool:
        """Note that the bytes are about to go out; False where another worker has the letter by now.

        The letter stays this worker's for a whole while from here on: nobody else sends it while it is on the wire.
        """
        return self._note(
            worker,
            claimed.number,
            is_handed_over=True,
            tries=claimed.tries + 1,
            repeats=OUTBOX.c.repeats + (1 if claimed.is_repeat else 0),
            lease_until_utc=now + LEASE,
        )

    def put_back(self, worker: str, numbers: Sequence[int]) -> None:
        """Give up letters that were claimed and not tried."""
        columns = OUTBOX.c
        mine = (columns.farm_id == self._farm_id, columns.number.in_(numbers), columns.worker == worker)
        with self._write() as connection:
            connection.execute(update(OUTBOX).where(*mine).values(lease_until_utc=None))

    def sent(self, worker: str, number: int, answer: str) -> None:
        """Note that the mail server has taken it; the bytes with their names are dropped."""
        self._end(worker, number, LetterState.SENT, answer)

    def bounced(self, worker: str, number: int, answer: str) -> None:
        """Note that the mail server will never take it."""
        self._end(worker, number, LetterState.BOUNCED, answer)

    def left_out(self, worker: str, number: int, answer: str) -> None:
        """Note that it is not to be sent: nobody to send it to, or no mail is wanted."""
        self._end(worker, number, LetterState.LEFT_OUT, answer)

    def later(self, worker: str, claimed: Claimed, answer: str, now: datetime, *, is_unsure: bool) -> None:
        """Note that it failed for now, to be tried again later or given up.

        `is_unsure` where the server's answer to the bytes was lost: the next try may be a repeat.
        """
        if claimed.tries >= len(BACK_OFF):
            self._end(worker, claimed.number, LetterState.GIVEN_UP, answer)
            return
        self._note(
            worker,
            claimed.number,
            due_at_utc=now + BACK_OFF[claimed.tries],
            tries=claimed.tries + 1,
            is_handed_over=is_unsure,
            answer=answer,
            lease_until_utc=None,
        )

    def posted_to(self, customer: str) -> tuple[Posted, ...]:
        """Every letter to a customer, newest first."""
        columns = OUTBOX.c
        mine = (columns.farm_id == self._farm_id, columns.customer == customer)
        with self._read() as connection:
            rows = connection.execute(select(OUTBOX).where(*mine).order_by(columns.number.desc()))
            return tuple(_posted(row) for row in rows.mappings())

    def states(self, limit: int = LATEST) -> tuple[LetterState, ...]:
        """How the latest letters stand, newest first."""
        with self._read() as connection:
            found = connection.execute(_STATES, {"farm_id": self._farm_id, "most": limit}).scalars()
            return tuple(LetterState(state) for state in found)

    def posted(self, limit: int = LATEST) -> tuple[Posted, ...]:
        """The latest letters, newest first."""
        columns = OUTBOX.c
        mine = columns.farm_id == self._farm_id
        with self._read() as connection:
            rows = connection.execute(select(OUTBOX).where(mine).order_by(columns.number.desc()).limit(limit))
            return tuple(_posted(row) for row in rows.mappings())

    def is_done(self, job: str, period: str) -> bool:
        """Whether a job was done for a period."""
        mine = (DONE_JOBS.c.farm_id == self._farm_id, DONE_JOBS.c.job == job, DONE_JOBS.c.period == period)
        with self._read() as connection:
            return connection.execute(select(DONE_JOBS.c.at_utc).where(*mine)).first() is not None

    def last_done(self, job: str) -> tuple[str, datetime] | None:
        """The period for which a job was done last, and when; None where it never was."""
        columns = DONE_JOBS.c
        mine = (columns.farm_id == self._farm_id, columns.job == job)
        statement = select(columns.period, columns.at_utc).where(*mine).order_by(columns.at_utc.desc()).limit(1)
        with self._read() as connection:
            found = connection.execute(statement).first()
        return None if found is None else (found.period, found.at_utc)

    def note_done(self, job: str, period: str, now: datetime) -> bool:
        """Note that a job was done for a period; of many that say so at once, one is the first."""
        values = {"farm_id": self._farm_id, "job": job, "period": period, "at_utc": now}
        with self._write() as connection:
            try:
                connection.execute(insert(DONE_JOBS).values(**values))
            except IntegrityError:
                connection.rollback()
                return False
        return True

    def _end(self, worker: str, number: int, state: LetterState, answer: str) -> None:
        values: dict[str, Any] = {"state": str(state), "answer": answer, "content": None, "is_handed_over": False}
        self._note(worker, number, **values, lease_until_utc=None)

    def _note(self, worker: str, number: int, **values: Any) -> bool:
        columns = OUTBOX.c
        mine = (columns.farm_id == self._farm_id, columns.number == number, columns.worker == worker)
        with self._write() as connection:
            return connection.execute(update(OUTBOX).where(*mine).values(**values)).rowcount == 1


def _claimed(row: RowMapping) -> Claimed:
    letter = Letter(row["kind"], row["customer"], row["facts"], row["key"])
    return Claimed(
        row["number"],
        letter,
        row["made_at_utc"],
        row["tries"],
        row["is_handed_over"],
        row["message_id"],
        row["content"],
    )


def _posted(row: RowMapping) -> Posted:
    return Posted(
        number=row["number"],
        kind=row["kind"],
        customer=row["customer"],
        made_at=row["made_at_utc"],
        due_at=row["due_at_utc"],
        state=LetterState(row["state"]),
        tries=row["tries"],
        repeats=row["repeats"],
        message_id=row["message_id"],
        answer=row["answer"],
    )
