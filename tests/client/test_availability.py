"""`haulm availability`: product by week, the details of one product, stock without a week."""

import httpx
import pytest

from support.canned_service import Client


def row(product: str, week: str | None, free: int, *, shared: bool = False) -> dict[str, object]:
    figures = {"ready_p10": 30, "ready_p50": 55, "ready_p90": 81, "committed": 20}
    return {"product": product, "week": week, "free_to_promise": free, "shared": shared, **figures}


def body(*rows: dict[str, object], weeks: tuple[str, ...] = ("2027-W20", "2027-W21")) -> dict[str, object]:
    return {"confidence": 0.8, "weeks": list(weeks), "rows": list(rows), "unknown": {"to": "us"}}


def test_the_table_has_a_row_a_product_and_a_column_a_week(client: Client) -> None:
    rows = (row("lagurus", "2027-W20", 10), row("lagurus", "2027-W21", 0), row("ammi", "2027-W21", 42))

    ended = client.shows("availability", body=body(*rows))

    assert ["2027", "W20", "W21"] in ended.rows
    assert ["lagurus", "10", "0"] in ended.rows
    assert ["ammi", "-", "42"] in ended.rows
    assert "80 % sure" in ended.out


def test_what_may_be_hoped_for_stands_beside_what_is_promised_where_it_is_more(client: Client) -> None:
    rows = (row("ammi", "2027-W20", 10) | {"hope_to_offer": 25}, row("ammi", "2027-W21", 7) | {"hope_to_offer": 7})

    ended = client.shows("availability", body=body(*rows) | {"hope_confidence": 0.6})

    assert "10 / 25" in ended.out and "7 / 7" not in ended.out
    assert "hope to offer, 60 % sure, not promised" in ended.out


def test_where_both_are_the_same_only_the_promise_is_shown(client: Client) -> None:
    ended = client.shows("availability", body=body(row("ammi", "2027-W20", 10) | {"hope_to_offer": 10}))

    assert "hope" not in ended.out


def test_the_question_carries_every_argument(client: Client) -> None:
    words = "--from 2027-W20 --weeks 2 --confidence 90% --product lagurus:dried --weekday THU".split()

    asked = client.run("availability", *words, answers=[httpx.Response(200, json=body())]).requests[0]

    assert dict(asked.url.params) == {
        "from": "2027-W20",
        "weeks": "2",
        "confidence": "0.9",
        "product": "lagurus:dried",
        "weekday": "thu",
    }


def test_what_is_not_said_is_left_to_the_service(client: Client) -> None:
    assert client.shows("availability", body=body()).asked == "GET /v1/availability?weeks=8"


def test_one_product_is_shown_with_what_is_ready_and_committed(client: Client) -> None:
    ended = client.shows("availability", "--product", "lagurus", body=body(row("lagurus", "2027-W20", 10)))

    assert ["2027-W20", "30", "55", "81", "20", "10"] in ended.rows


def test_stock_stands_apart_because_it_has_no_week(client: Client) -> None:
    ended = client.shows("availability", body=body(row("lagurus", "2027-W20", 10), row("lagurus:dried", None, 300)))

    assert ["lagurus:dried", "30", "55", "81", "20", "300"] in ended.rows


def test_shared_stems_are_marked_and_the_mark_is_explained(client: Client) -> None:
    ended = client.shows("availability", body=body(row("lagurus", "2027-W20", 10, shared=True)))

    assert ["lagurus", "10*", "-"] in ended.rows
    assert "* the stems are shared" in ended.out


def test_a_table_over_the_turn_of_the_year_starts_anew(client: Client) -> None:
    weeks = ("2026-W53", "2027-W01")

    ended = client.shows("availability", body=body(row("ammi", "2027-W01", 7), weeks=weeks))

    assert ["2026", "W53"] in ended.rows
    assert ended.rows[ended.rows.index(["2027", "W01"]) + 1] == ["ammi", "7"]


@pytest.mark.parametrize("columns", [80, 100])
def test_half_a_year_of_weeks_fits_the_screen(client: Client, columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    weeks = tuple(f"2027-W{number:02d}" for number in range(1, 27))
    long_key = "a-key-that-is-as-long-as-a-key-may-ever-be-and-then-no-longer-64"

    ended = client.shows("availability", body=body(*(row(long_key, week, 12345) for week in weeks), weeks=weeks))

    assert ended.out.count("12345") == 26
    assert max(map(len, ended.out.splitlines())) <= columns


def test_nothing_to_show_is_said(client: Client) -> None:
    assert "Nothing is grown or in stock" in client.shows("availability", body={"rows": []}).out
