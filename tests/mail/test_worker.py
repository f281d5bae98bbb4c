"""The worker's thread does what is due, posts, and in between takes one step after another in the background."""

from __future__ import annotations

import threading

import pytest

from haulm.errors import NotAccepted
from haulm.mail import post
from haulm.mail.post import Worker

PATIENCE_S = 20.0


class Steps:
    """Steps that say there is more until a number of them was taken; the last one lets the test go on."""

    def __init__(self, count: int) -> None:
        self.count, self.taken, self.are_done = count, 0, threading.Event()

    def __call__(self) -> bool:
        self.taken += 1
        if self.taken == self.count:
            self.are_done.set()
        return self.taken < self.count


def nothing() -> None:
    """Nothing is due."""


def test_steps_follow_each_other_at_once_while_there_are_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(post, "LOOK_EVERY_S", 1000.0)
    done: list[str] = []
    steps = Steps(5)
    worker = Worker(lambda: done.append("due"), lambda: done.append("post"), done.append, steps)
    worker.start()
    assert steps.are_done.wait(PATIENCE_S)
    worker.stop()
    assert (steps.taken, done) == (5, ["due", "post"])


def test_after_half_a_minute_what_is_due_has_its_turn_though_there_are_more_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(post, "EVERY_S", 0.0)
    again = threading.Event()
    rounds: list[str] = []

    def due() -> None:
        rounds.append("due")
        if len(rounds) == 3:
            again.set()

    worker = Worker(due, nothing, rounds.append, lambda: True)
    worker.start()
    assert again.wait(PATIENCE_S)
    worker.stop()


def test_a_step_that_fails_is_said_and_the_worker_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(post, "LOOK_EVERY_S", 0.0)
    said: list[str] = []
    steps = Steps(2)

    def fails() -> bool:
        steps()
        raise NotAccepted(where="step", found="a fault", accepted="none")

    worker = Worker(nothing, nothing, said.append, fails)
    worker.start()
    assert steps.are_done.wait(PATIENCE_S)
    worker.stop()
    assert said and "a fault" in said[0]
