"""The page of the walk: bed by bed, one question about what was left blank, and nothing typed is ever lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from typing import Any

import pytest

from support.bucket_days import bucket_farm
from support.door import Door

OpenDoor = Callable[[dict[str, bytes]], Door]


@pytest.fixture
def door(open_door: OpenDoor) -> Door:
    """Two beds of one kind."""
    return open_door(bucket_farm())


def sent(door: Door, path: str = "/walk", **form: str) -> tuple[int, str]:
    start = ("standing_", "not_ready_", "said_", "amount_", "kind_")
    fields = {name.replace("_", "-") if name.startswith(start) else name: value for name, value in form.items()}
    answer = door.ask("POST", path, data=fields)
    return answer.status_code, unescape(answer.text)


def records(door: Door) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = door.get("/v1/records")["rows"]
    return rows


def value_of(page: str, name: str) -> str | None:
    found = re.search(rf'name="{name}"[^>]*?value="([^"]*)"', page)
    return found[1] if found else None


def test_the_walk_names_beds_and_a_number_of_each_sowing_is_its_own(door: Door) -> None:
    page = door.ask("GET", "/walk").text
    assert [page.index(name) for name in ("North bed", "South bed")] == sorted(
        page.index(name) for name in ("North bed", "South bed")
    )

    assert sent(door, standing_older="30", standing_newer="12", not_ready_newer="9")[0] == 303
    assert [(row["batch"], row["count"], row["note"]) for row in records(door)] == [
        ("older", 30, ""),
        ("newer", 12, "9 not ready"),
    ]


@pytest.mark.parametrize(("answer", "written"), [("nothing_yet", [("newer", "not_yet")]), ("not_looked", [])])
def test_what_was_left_blank_is_asked_about_once_with_all_that_was_typed(
    door: Door, answer: str, written: list[tuple[str, str]]
) -> None:
    status, page = sent(door, standing_older="30", frost="yes", walk="w7", once="k7")
    assert status == 200 and "Left blank" in page and records(door) == []
    assert (value_of(page, "standing-older"), value_of(page, "walk")) == ("30", "w7")
    assert 'name="frost" value="yes" checked' in page

    assert sent(door, standing_older="30", frost="yes", walk="w7", once="k7", closing=answer)[0] == 303
    told = [(row["batch"], row["kind"]) for row in records(door)]
    assert told == [("older", "standing"), *written, (None, "frost")]


def test_part_lost_is_said_with_a_number_or_a_share(door: Door) -> None:
    form = {"said_older": "part_lost", "amount_older": "30", "said_newer": "part_lost", "amount_newer": "25 %"}

    assert sent(door, **form)[0] == 303
    assert [(row["kind"], row["count"], row["share_pct"]) for row in records(door)] == [
        ("lost", 30, None),
        ("lost", None, 25),
    ]


@pytest.mark.parametrize(
    "wrong",
    [
        {"standing_newer": "many"},
        {"said_newer": "part_lost"},
        {"amount_newer": "30"},
        {"said_newer": "part_lost", "amount_newer": "a few"},
        {"not_ready_newer": "20"},
    ],
)
def test_what_is_refused_stays_in_the_form(door: Door, wrong: dict[str, str]) -> None:
    status, page = sent(door, standing_older="31", **wrong)

    assert status == 422 and 'role="alert"' in page and records(door) == []
    assert value_of(page, "standing-older") == "31"


def test_one_number_for_a_kind_is_of_all_its_beds(door: Door) -> None:
    assert sent(door, kind_lagurus="80")[0] == 303

    assert [(row["variety"], row["count"]) for row in records(door)] == [("lagurus", 80)]


def test_a_cut_that_cannot_well_be_is_asked_about_with_what_was_typed(door: Door) -> None:
    form = {"variety": "lagurus", "stems": "5000", "left": "7", "day": "2027-06-14"}
    status, page = sent(door, "/cut", **form)
    assert status == 409 and "Really?" in page and records(door) == []
    assert (value_of(page, "stems"), value_of(page, "left")) == ("5000", "7")

    assert sent(door, "/cut", **form, really="yes")[0] == 303
    assert [row["count"] for row in records(door)] == [5000]


def test_more_than_was_counted_is_refused_with_what_was_typed(door: Door) -> None:
    sent(door, kind_lagurus="20")
    status, page = sent(door, "/cut", variety="lagurus", stems="30", length_cm="45", day="2027-06-14")

    assert status == 422 and "at most the 20 counted standing today" in page
    assert (value_of(page, "stems"), value_of(page, "length_cm")) == ("30", "45")
