"""The walk of the first evening without scripts: what is refused stands beside its field, nothing is done twice."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from haulm.jobs.desk.desk import Desk
from haulm.pages.begin.steps import STEPS
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from support.desks import Calendar, sqlite_store
from support.door import Door
from support.tapping import form_of, tapped, words_of

EVENING = datetime(2027, 3, 1, 19, 30, tzinfo=UTC)
HEREFORD = "/begin/place/2647074"


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Door]:
    """A door to a database with nothing in it."""
    store = sqlite_store(tmp_path)
    with Door(Desk(store, Planner(Drawing(100, 1)), Calendar(date(2027, 3, 1)), lambda: EVENING)) as door:
        yield door
    store.close()


@pytest.fixture
def begun(bare: Door) -> Door:
    """A farm at Hereford with two kinds."""
    assert tapped(bare, HEREFORD, "", **{**months(bare), "name": "Evening field"}).status_code == 303
    tapped(bare, "/begin/kinds", "", **{"kind-zinnia": "yes", "kind-cosmos": "yes"})
    return bare


def months(door: Door) -> dict[str, str]:
    """What the form of the place shows in its fields."""
    found = door.ask("GET", HEREFORD).text.split('method="post"')[1]
    fields = [part.split(">")[0] for part in found.split("<input ")[1:]]
    return {
        field.split('name="')[1].split('"')[0]: field.split('value="')[1].split('"')[0]
        for field in fields
        if 'type="hidden"' not in field and ("checkbox" not in field or " checked" in field)
    }


def test_each_step_can_be_opened_left_out_and_come_back_to(begun: Door) -> None:
    for step, following in zip(STEPS, [*STEPS[1:], None], strict=True):
        page = begun.ask("GET", step.path)
        assert page.status_code == 200, step.path
        assert step.words in page.text
        assert following is None or f'href="{following.path}"' in page.text


def test_a_place_that_is_nowhere_is_said_and_one_too_short_is_refused(bare: Door) -> None:
    assert "No place of 1,000 people" in words_of(bare.ask("GET", "/begin", params={"place": "Xqzzyvale"}))
    assert "such as Hereford" in words_of(bare.ask("GET", "/begin", params={"place": "x"}))
    assert bare.ask("GET", "/begin/place/1").status_code == 404


def test_months_are_proposed_with_how_far_off_they_may_be_and_move_with_the_height(bare: Door) -> None:
    said = words_of(bare.ask("GET", HEREFORD))
    assert "the months of Cambridge, England" in said and "They may be off by" in said
    assert "colder for the higher ground" in words_of(bare.ask("GET", HEREFORD, params={"height": "200 m"}))
    kept = bare.ask("GET", HEREFORD, params={"height": "200", "name": "Evening field", "cut-fri": "yes"}).text
    assert 'value="Evening field"' in kept and 'name="cut-fri" value="yes" checked' in kept
    assert 'name="cut-mon" value="yes">' in kept, "a tick that was taken away stays away"
    assert "metres such as 120" in words_of(bare.ask("GET", HEREFORD, params={"height": "high"}))


def test_a_field_that_cannot_be_read_is_named_and_there_is_still_no_farm(bare: Door) -> None:
    typed = {**months(bare), "name": "Evening field", "min_4": "cold", "last_frost": "soon"}
    answer = tapped(bare, HEREFORD, "", **typed)
    assert 'id="wrong-min_4"' in answer.text and 'id="wrong-last_frost"' in answer.text
    assert 'value="cold"' in answer.text, "what was typed is still there"
    assert bare.desk.store.is_empty()
    assert 'id="wrong-name"' in tapped(bare, HEREFORD, "", **{**months(bare), "name": ""}).text


def test_a_second_tap_founds_no_second_farm_and_picks_no_kind_twice(begun: Door) -> None:
    form = {**form_of(begun.ask("GET", "/begin/kinds").text, "/begin/kinds"), "kind-ammi_majus": "yes"}
    for _ in range(2):
        assert begun.ask("POST", "/begin/kinds", data=form).status_code == 303
    assert [row["name"] for row in begun.get("/v1/varieties")["rows"]] == ["Zinnia", "Cosmos", "Ammi"]


def test_a_colour_may_be_said_of_a_kind_and_need_not_be(begun: Door) -> None:
    page = begun.ask("GET", "/begin/kinds").text
    form = form_of(page, "/begin/kinds/colours")
    names = [part.split('"')[0] for part in page.split('name="colour-')[1:]]
    first, second = names
    for _ in range(2):
        typed = {**form, f"colour-{first}": "white", f"colour-{second}": "", "colour-nothing": "red"}
        assert begun.ask("POST", "/begin/kinds/colours", data=typed).status_code == 303
    colours = {row["key"]: row["colour"] for row in begun.get("/v1/varieties")["rows"]}
    assert (colours[first], colours[second]) == ("white", None)
    assert f'name="colour-{first}"' not in begun.ask("GET", "/begin/kinds").text


def test_eight_alike_are_eight_beds_and_eight_more_go_on_counting(begun: Door) -> None:
    typed = {"name": "Bed", "alike": "8", "metres": "12,5", "width_cm": "120", "kind": "outdoor"}
    for _ in range(2):
        tapped(begun, "/begin/beds", "", **typed)
    names = [row["name"] for row in begun.get("/v1/beds")["rows"]]
    assert names == [f"Bed {number}" for number in range(1, 17)]
    assert "200 m of bed" in words_of(begun.ask("GET", "/begin/beds"))
    assert 'id="wrong-metres"' in tapped(begun, "/begin/beds", "", **{**typed, "metres": "long"}).text
    assert "1 to 60" in words_of(tapped(begun, "/begin/beds", "", **{**typed, "alike": "900"}))
    assert len(begun.get("/v1/beds")["rows"]) == 16


@pytest.mark.parametrize(
    ("typed", "beside"),
    [
        ({"who": ""}, "name"),
        ({"last": "2027-06-01"}, "last_week"),
        ({"first": ""}, "first"),
        ({"stems1": ""}, "stems"),
        ({"stems1": "many"}, "stems"),
        ({"kind1": "peony"}, "product"),
        ({"weekday": "someday"}, "weekday"),
    ],
)
def test_a_florist_that_cannot_be_is_refused_beside_the_field_and_nobody_is_entered(
    begun: Door, typed: dict[str, str], beside: str
) -> None:
    good = {"who": "Hedge and Rose", "weekday": "tue", "first": "2027-07-05", "last": "2027-10-31"}
    answer = tapped(begun, "/begin/florists", "", **{**good, "kind1": "zinnia", "stems1": "40", **typed})
    assert f'id="wrong-{beside}"' in answer.text
    assert begun.get("/v1/customers")["rows"] == []


def test_the_day_of_the_answer_is_checked(begun: Door) -> None:
    assert "a day of the calendar" in words_of(begun.ask("GET", "/begin/answer", params={"day": "soon"}))
    assert begun.ask("GET", "/begin/answer", params={"day": "2020-01-01"}).status_code == 422
    assert begun.ask("GET", "/begin/answer", params={"day": "9999-12-31"}).status_code < 500
