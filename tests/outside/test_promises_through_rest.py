"""Checked against a judge of promises written from the rules alone (Hall's theorem, 1935): the same promises by REST.

Random farms of known stems, told to the service as a folder and to the judge from the same dice. Every promise and
every question of how many is judged by both; every refusal names order, line or delivery, due, from, to and floor.
"""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

from support import scale
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.promises_by_rest import AskedByRest
from support.random_known_farms import TODAY, random_known_farm

FARMS = scale.count(usual=3, large=20)
PROMISES = 12


def test_promises_by_rest_are_the_judges(tmp_path: Path) -> None:
    seen: Counter[str] = Counter()
    for number in range(FARMS):
        dice = random.Random(f"promises {number}")
        told = random_known_farm(dice)
        (tmp_path / str(number)).mkdir()
        store = sqlite_store(tmp_path / str(number))
        with Door(desk_over(store, told.folder, today=TODAY, seasons=20)) as door:
            lived = AskedByRest(door, told, dice).live(PROMISES)
        store.close()
        assert lived.faults == [], number
        seen += lived.seen
    assert min(seen["accepted"], seen["refused"]) >= FARMS and seen["falls"] and seen["overridden"]
    assert seen["spot"] >= 5 * FARMS
