"""The service is killed at random moments while promises are made: what it answered is there, and the books hold."""

from __future__ import annotations

import random
import signal
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import httpx

from haulm.store.words import PromiseState
from support import scale
from support.known_farm import known_farm
from support.ledger_laws import broken_laws, held_by_line, lines_by_order
from support.service_program import Program

STEPS = scale.count(usual=60, large=1000)
KILLS = scale.count(usual=3, large=30)
CALLERS = 4
PATIENCE_S = 240
PLENTY = "key,product,ready_date,stems\nk1,nigella,2027-06-14,100000"
ONE = {"date": "2027-06-18", "kind": "one_off", "lines": [{"product": "nigella", "stems": 1}]}


@dataclass
class Heard:
    """What callers were answered: the state of each order that the service said it had made."""

    address: str = ""
    states: dict[str, PromiseState] = field(default_factory=dict)
    steps: int = 0
    lost: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, order: str, state: PromiseState) -> None:
        """Keeps an answer."""
        with self.lock:
            self.states[order] = state
            self.steps += 1

    @property
    def is_enough(self) -> bool:
        """Whether as many steps were answered as this run asks for."""
        return self.steps >= STEPS


@dataclass
class Caller:
    """Asks on a connection of its own, which the deaths of the service break."""

    heard: Heard
    client: httpx.Client

    def asked(self, path: str, body: dict[str, object], key: str) -> dict[str, object]:
        """One step, asked under its key until the service answers, over however many deaths of it."""
        deadline = time.monotonic() + PATIENCE_S
        while time.monotonic() < deadline:
            try:
                answer = self.client.post(f"{self.heard.address}{path}", json=body, headers={"Idempotency-Key": key})
            except httpx.TransportError:
                self.heard.lost += 1
                time.sleep(0.05)
                continue
            assert answer.status_code in (200, 201), answer.text
            found: dict[str, object] = answer.json()
            return found
        raise AssertionError("the service did not come back")


def call(heard: Heard, number: int) -> None:
    """Quotes, holds and contracts, one order after the other, until enough steps were answered."""
    with httpx.Client(timeout=30) as client:
        caller, made = Caller(heard, client), 0
        while not heard.is_enough:
            made += 1
            name = f"{number}-{made}"
            order = str(caller.asked("/v1/quotes", ONE, f"quote-{name}")["id"])
            heard.note(order, PromiseState.ASKED)
            caller.asked(f"/v1/quotes/{order}/hold", {"until": "2027-06-17"}, f"hold-{name}")
            heard.note(order, PromiseState.HELD)
            if made % 2:
                caller.asked(f"/v1/quotes/{order}/contract", {}, f"contract-{name}")
                heard.note(order, PromiseState.CONTRACTED)


def test_what_was_answered_before_the_service_was_killed_is_there_after(program: Program, tmp_path: Path) -> None:
    folder = tmp_path / "farm"
    folder.mkdir()
    for name, content in known_farm(known_stems=PLENTY).items():
        (folder / name).write_bytes(content)
    program.hold(folder)
    chance, heard = random.Random(5), Heard()
    callers = [threading.Thread(target=call, args=(heard, number)) for number in range(CALLERS)]
    killed = 0

    for start in range(KILLS + 1):
        with program.serving("serve", "--port", 0) as running:
            heard.address = running.address
            if not start:
                for caller in callers:
                    caller.start()
            if start < KILLS:
                goal = STEPS * (start + 1) // (KILLS + 1)
                while heard.steps < goal and any(caller.is_alive() for caller in callers):
                    time.sleep(0.01)
                time.sleep(chance.uniform(0, 0.2))
                running.process.send_signal(signal.SIGKILL)
                running.process.wait(30)
                killed += 1
            else:
                for caller in callers:
                    caller.join(PATIENCE_S)
        with program.store() as store:
            assert broken_laws(store) == []

    assert killed == KILLS and heard.is_enough and heard.lost > 0
    with program.store() as store:
        lines, states = lines_by_order(store.farm().order_lines), held_by_line(store)
        missing = {
            order: state for order, state in heard.states.items() for line in lines[order] if states[line] is not state
        }
        assert missing == {}
        assert len(lines) == len(heard.states)  # a step asked again under its key was not done twice
