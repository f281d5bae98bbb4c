"""The page of the combined plan: asked for by a tap, looked at again by a link, in names and days in words."""

from __future__ import annotations

from support.door import Door


def text_of(door: Door) -> str:
    return door.ask("GET", "/combined-plan").text


def test_it_is_asked_for_by_a_tap_and_shows_what_to_sow_once_it_is_worked_out(growing: Door) -> None:
    assert 'href="/combined-plan"' in growing.ask("GET", "/short").text
    assert "Work it out</button>" in text_of(growing)
    for _ in range(2):
        answer = growing.ask("POST", "/combined-plan")
        assert (answer.status_code, answer.headers["location"]) == (303, "/combined-plan")
    waiting = text_of(growing)
    assert "It is being worked out." in waiting and "Look again</a>" in waiting and "<button>Work" not in waiting

    found = text_of(growing.worked_out())
    plan = growing.get("/v1/combined-plan")
    assert plan["batches"] and not any(batch["key"] in found for batch in plan["batches"])
    assert not any(batch["sow_date"] in found for batch in plan["batches"])
    for part in ("1 sowing, for ", "That closes", " places, ", f'href="/short/{plan["closed"][0]["gap"]}"'):
        assert part in found
    assert "Work it out" not in found and "Look again" not in found


def test_after_a_change_it_says_as_of_when_it_stands_and_can_be_asked_anew(growing: Door) -> None:
    growing.ask("POST", "/combined-plan")
    (batch,) = growing.worked_out().get("/v1/combined-plan")["batches"]
    growing.post("/v1/batches", batch)

    found = text_of(growing)
    assert "Something has changed since: the plan below is as of " in found and "Work it out anew</button>" in found
