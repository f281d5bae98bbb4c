"""A florist's stems and her spare, told apart: a wedding may take what is free and her spare, and none of her stems."""

from collections.abc import Iterable
from typing import Any

import pytest

from haulm.advice import floors
from haulm.advice.shortfalls import LineOutlook
from support.door import Door
from support.florist_farm import CASES, FALL, FRIDAY, SUNDAY, florist_farm


def quoted(door: Door, stems: int) -> str:
    """The id of a wedding's quote."""
    body = {"date": SUNDAY, "customer": "bram", "lines": [{"product": "lagurus", "stems": stems}]}
    quote: str = door.post("/v1/quotes", body)["id"]
    return quote


def florist(door: Door) -> tuple[int, float]:
    """Stems the florist gets, and how sure they are."""
    lines = door.get("/v1/match", from_=FRIDAY, to=FRIDAY)["lines"]
    line = next(line for line in lines if line["order"] == "studio")
    return line["filled"], line["confidence"]


@pytest.mark.parametrize(("stems", "spare"), CASES)
def test_a_wedding_takes_what_is_free_and_nothing_that_was_promised(open_door: Any, stems: int, spare: int) -> None:
    door, free = open_door(florist_farm(stems, spare)), stems - 20
    wedding = quoted(door, 20)

    problem = door.refused(409, "POST", f"/v1/quotes/{wedding}/contract")
    assert (problem["falls"], problem["most"]) == ([FALL], free)

    ask = {"product": "lagurus", "due": FRIDAY, "kind": "wedding", "customer": "bram"}
    spot = door.post("/v1/may-promise", ask)
    assert (spot["stems"], spot["displaced"], spot["at_more_would_fall"]) == (free, [], [FALL])

    if free:
        assert door.post(f"/v1/quotes/{quoted(door, free)}/contract")["displaced"] == []
    assert florist(door) == (20, 1.0)


def test_where_a_spare_stood_for_its_line_the_wedding_took_all(open_door: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def by_line_and_day(outlooks: Iterable[LineOutlook]) -> list[LineOutlook]:
        return list({(one.line.line, one.line.due): one for one in outlooks}.values())

    door = open_door(florist_farm(20, 5))
    wedding = quoted(door, 20)
    monkeypatch.setattr(floors, "guarded_lines", by_line_and_day)

    assert door.post(f"/v1/quotes/{wedding}/contract")["accepted"]
    assert florist(door) == (0, 0.0)
