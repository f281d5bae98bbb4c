"""`haulm next-year`, `renew`, `order-list`: a season copied, its standing orders, what is to be ordered."""

from __future__ import annotations

import pytest

from haulm_cli.exit_codes import ExitCode
from support.canned_service import Client

SOWING = {
    "batch": "zinnia-1",
    "variety": "zinnia",
    "begun": "2027-04-19",
    "copy_key": "zinnia-1-in-2028",
    "copy_begun": "2028-04-17",
    "places": 100,
    "stays": None,
    "proposed": True,
    "copied": False,
    "past": False,
    "stems_cut": 40,
    "minor_per_metre": 512,
}
SEASON = {
    "season": 2027,
    "into": 2028,
    "currency": "EUR",
    "sowings": [
        SOWING,
        {**SOWING, "batch": "dahlia-1", "stays": "tuber", "proposed": False, "minor_per_metre": None},
        {**SOWING, "batch": "corn-1", "past": True, "proposed": False},
        {**SOWING, "batch": "sun-1", "proposed": False},
    ],
    "kinds": [{"variety": "sunflower", "why_not": "Not ticked: a metre of it brings little."}],
    "standing": [{"batch": "peony-1", "stays": "perennial"}],
    "over_full": ["Short bed is over-full in week 22."],
}


def test_a_season_is_shown_beside_the_next(client: Client) -> None:
    ended = client.shows("next-year", "--season", "2027", body=SEASON)

    assert ended.asked == "GET /v1/next-year?season=2027"
    for words in ("Mon 17 Apr 2028", "5.12", "Stays: peony-1 (perennial)", "Short bed is over-full", "brings little"):
        assert words in ended.out
    becomes = {row[0]: " ".join(row[-3:]) for row in ended.rows if row and row[0].endswith("-1")}
    assert becomes["zinnia-1"].endswith("copied") and becomes["dahlia-1"].endswith("stays")
    assert becomes["corn-1"].endswith("day is over") and becomes["sun-1"].endswith("not copied")
    assert client.shows("next-year", body={"season": None}).out == "There is no season yet that could be copied.\n"


@pytest.mark.parametrize(
    ("words", "sent"),
    [
        ("next-year --copy", {}),
        ("next-year --season 2027 --copy zinnia-1", {"season": 2027, "batches": ["zinnia-1"]}),
    ],
)
def test_it_is_copied_under_a_key_of_the_call(client: Client, words: str, sent: dict[str, object]) -> None:
    ended = client.shows(*words.split(), body={"into": 2028, "batches": ["zinnia-1-in-2028"], "figures": 0})

    assert (ended.asked, ended.sent) == ("POST /v1/next-year", sent)
    assert ended.requests[0].headers["Idempotency-Key"]
    assert ended.out == "1 sowing copied into 2028.\n"


def test_copied_again_it_says_that_all_is_there(client: Client) -> None:
    ended = client.shows("next-year", "--copy", body={"into": 2028, "batches": [], "figures": 0})
    assert ended.out == "Nothing to copy: all of it is in the plan for 2028 already.\n"


def test_standing_orders_are_listed_renewed_and_let_end(client: Client) -> None:
    order = {
        "order": "anna-weekly",
        "customer": "anna",
        "standing": "open",
        "first_week": "2028-W30",
        "last_week": "2028-W34",
        "lines": [{"line": "anna-1", "stems": 20}],
    }
    listed = client.shows("renew", body={"season": 2027, "orders": [order]})
    assert listed.asked == "GET /v1/next-year/standing-orders"
    assert "2028-W30 to 2028-W34" in listed.out and "anna-1=20" in listed.out and "to decide" in listed.out
    assert client.shows("renew", body={"orders": []}).out == "No standing order is of this season.\n"

    words = ("renew", "anna-weekly", "--stems", "anna-1=12", "--override", "first come")
    renewed = client.shows(*words, body={"what": "renew", "order": "anna-weekly-in-2028"})
    assert renewed.asked == "POST /v1/next-year/standing-orders/anna-weekly"
    assert renewed.sent == {"what": "renew", "stems": {"anna-1": 12}, "override": True, "override_reason": "first come"}
    assert "is renewed" in renewed.out

    ended = client.shows("renew", "anna-weekly", "--let-end", body={"what": "let_end", "order": "anna-weekly"})
    assert ended.sent == {"what": "let_end"} and "ends with its last week" in ended.out


def test_stems_that_cannot_be_read_are_a_wrong_use(client: Client) -> None:
    assert client.run("renew", "anna-weekly", "--stems", "anna-1", answers=[]).code == ExitCode.USAGE


def test_the_order_list_says_what_when_and_what_is_late(client: Client) -> None:
    row = {
        "variety": "zinnia",
        "name": "White zinnia",
        "what": "seed",
        "places": 200,
        "left": 50,
        "to_order": 150,
        "as_sold": 150,
        "order_by": "2028-04-10",
        "first": "2028-04-17",
        "late": False,
    }
    late = {**row, "name": "White dahlia", "what": "tubers", "order_by": None, "late": True}
    ended = client.shows("order-list", "--season", "2028", body={"season": 2028, "rows": [row, late]})

    assert ended.asked == "GET /v1/next-year/order-list?season=2028"
    assert "Mon 10 Apr 2028" in ended.out and "at once: late" in ended.out and "150" in ended.out
    assert "Nothing is planned" in client.shows("order-list", body={"season": 2028, "rows": []}).out
