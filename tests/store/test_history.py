"""What lies on what: the last step of a thing can be taken off, and put on again only where it lay."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from haulm.store.history import PUT_BACK, TAKEN_BACK, History
from haulm.store.journal import Entry, put_change, remove_change

AT = datetime(2027, 6, 14, tzinfo=UTC)


def wrote(key: str, plants: int) -> dict[str, Any]:
    """The body of an entry that writes a batch."""
    return {"changes": [put_change("batches", [(key, {"plants": plants})])]}


def journal(*steps: tuple[str, Mapping[str, Any], int | None]) -> History:
    """The history of entries, each a step of its own."""
    entries = [
        Entry(place, place, AT, "owner", kind, "farm", corrects, body)
        for place, (kind, body, corrects) in enumerate(steps, start=1)
    ]
    return History(entries, frozenset({"noted"}))


def in_the_way(history: History, seq: int) -> list[int]:
    step = history.step_of(seq)
    assert step is not None
    return [one.version for one in history.in_the_way(step)]


A, B = ("row-written", wrote("b", 1), None), ("row-written", wrote("b", 2), None)


def test_what_lies_on_a_step_is_in_its_way_until_it_is_taken_off() -> None:
    assert in_the_way(journal(A, B), 1) == [2]
    assert in_the_way(journal(A, B), 2) == []
    assert in_the_way(journal(A, B, (TAKEN_BACK, wrote("b", 1), 2)), 1) == []


def test_what_was_taken_off_is_put_on_again_only_where_it_lay() -> None:
    both = (A, B, (TAKEN_BACK, wrote("b", 1), 2))
    assert in_the_way(journal(*both), 2) == []
    assert in_the_way(journal(*both, A), 2) == [4]
    assert in_the_way(journal(*both, (TAKEN_BACK, {"changes": [remove_change("batches", "b")]}, 1)), 2) == [4]
    again = journal(*both, (PUT_BACK, wrote("b", 2), 2))
    assert in_the_way(again, 1) == [2] and in_the_way(again, 2) == []


def test_a_note_of_the_service_is_in_nobody_s_way_and_a_correction_is() -> None:
    facts = ("told", {"facts": {"x": 1}}, None)
    assert in_the_way(journal(facts, ("noted", {}, None)), 1) == []
    assert in_the_way(journal(facts, ("told", {}, None)), 1) == [2]
    assert in_the_way(journal(A, ("corrected", wrote("c", 1), 1)), 1) == [2]


def test_a_row_s_past_is_told_with_what_it_said_and_when_it_was_gone() -> None:
    history = journal(A, B, ("row-removed", {"changes": [remove_change("batches", "b")]}, None))

    said = [(version, row and row["plants"]) for version, row in history.said(("batches", "b"))]
    assert said == [(1, 1), (2, 2), (3, None)]
    assert history.gone["batches", "b"]["plants"] == 2
