"""GET /v1/new-figures and its page: what a release took from promises, until somebody has looked at it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from haulm.forecast.model import MODEL
from haulm.jobs.warning.run_due import run_due
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from support.door import Door
from support.known_farm import growing_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
PATH = "/v1/new-figures"


def upgraded(open_door: OpenDoor) -> Door:
    """The door to a farm whose service was started again with another release, by which frost comes much earlier."""
    files = growing_farm()
    files["batches.csv"] = (
        b"key,variety,sow_date,method,sown,plants,bed,status\nfirst,lagurus,2027-05-25,direct,150,100,south,planted\n"
    )
    door = open_door(files)
    run_due(door.desk)
    poorer = Drawing(200, 1, frost_days_earlier=100, model=MODEL + 1)
    door.app.state.desk = replace(door.desk, planner=Planner(poorer))
    run_due(door.app.state.desk)
    return door


def test_what_is_less_sure_is_listed_with_line_order_from_and_to(open_door: OpenDoor) -> None:
    found = upgraded(open_door).get(PATH)
    assert (found["model"], found["looked_at"]) == (MODEL + 1, False)
    assert {(one["line"], one["order"]) for one in found["lowered"]} == {("anna-1", "anna-weekly")}
    assert all(one["from"] - one["to"] >= 0.01 for one in found["lowered"])
    assert "less sure" in found["sentence"]


def test_today_leads_to_the_list_and_the_list_names_the_customer_and_no_key(open_door: OpenDoor) -> None:
    door = upgraded(open_door)
    assert 'href="/new-figures"' in door.ask("GET", "/").text
    page = door.ask("GET", "/new-figures").text
    assert "Studio Anna Verhoeven" in page and "40 Hare&#39;s-tail grass" in page


def test_looked_at_it_is_gone_from_today_whichever_door_said_so(open_door: OpenDoor) -> None:
    door = upgraded(open_door)
    assert door.ask("POST", "/new-figures", data={"once": "tap"}).status_code == 303
    assert door.get(PATH)["looked_at"] is True
    assert "Look at the list" not in door.ask("GET", "/").text
    assert door.ask("POST", "/v1/new-figures/looked-at").json() == {"looked_at": True}
    assert door.get(PATH)["sentence"] is None


def test_a_farm_whose_figures_stayed_has_none(open_door: OpenDoor) -> None:
    found = open_door(growing_farm()).get(PATH)
    assert found == {"model": None, "looked_at": True, "sentence": None, "lowered": []}
