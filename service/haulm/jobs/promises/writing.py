"""The frame of every use case that writes: one unit of work, answered once per idempotency key."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.promise_refused import PromiseRefused, with_a_way_on
from haulm.store.idempotency import StoredAnswer
from haulm.store.unit_of_work import UnitOfWork


@dataclass(frozen=True, slots=True)
class Asked:
    """Who asks what, and the key under which the answer is remembered (None: it is not)."""

    actor: str
    route: str
    key: str | None = None
    body_hash: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer ready for the wire; it is stored in the transaction of its effect."""

    status: int
    body: Mapping[str, Any]


def carry_out(desk: Desk, asked: Asked, act: Callable[[UnitOfWork], Answer], *, is_judged: bool = False) -> Answer:
    """Do something in one write transaction and return its answer after the commit.

    The same key with the same body gets the first answer again and nothing is done twice. What the match judges has the
    farm's answers brought up to date beforehand, so that no seasons are drawn while others wait for the farm.
    """
    if is_judged:
        desk.plan()
    try:
        return _carried_out(desk, asked, act)
    except PromiseRefused as refusal:
        # Only now: looking for a way on takes matches of the farm, and others wait for it while a transaction is open.
        raise with_a_way_on(refusal) from None


def _carried_out(desk: Desk, asked: Asked, act: Callable[[UnitOfWork], Answer]) -> Answer:
    with desk.store.unit_of_work(actor=asked.actor, now=desk.now()) as work:
        if asked.key is not None:
            earlier = work.answered(asked.route, asked.key, asked.body_hash)
            if earlier is not None:
                return Answer(earlier.status, json.loads(earlier.answer))
        answer = act(work)
        if asked.key is not None:
            kept = StoredAnswer(answer.status, json.dumps(dict(answer.body)))
            work.remember(asked.route, asked.key, asked.body_hash, kept)
        work.save()
        return answer
