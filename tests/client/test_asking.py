"""`haulm why`, `outlook`, `may-promise` and `what-if`: what is asked, and what is shown."""

from typing import Any

from haulm_cli.exit_codes import ExitCode
from support.canned_service import Client

POOL: dict[str, Any] = {
    "product": "lagurus",
    "length_cm": 30,
    "stems": 60,
    "lots": [
        {"ready_date": "2027-06-14", "stems": 45},
        {"ready_date": "2027-06-15", "stems": 15, "cut_date": "2027-06-17"},
    ],
    "could_have": 5,
    "held": 55,
    "held_by": [
        {"line": "bride-1", "order": "bride", "customer": "bo", "class": "wedding", "due": "2027-06-17", "stems": 30},
        {"line": "anna-1", "order": "anna", "customer": "anna", "class": "standing", "due": "2027-06-15", "stems": 25},
    ],
}
WHY = {
    "sentence": "Line 'party-1' asks 20.",
    "used_up": [POOL],
    "at_limit": [{"product": "nigella", "length_cm": None, "stems": 4}],
    "confidence": 0.41,
    "expected_missing": 7.5,
}
FALL = {
    "line": "anna-1",
    "order": "anna",
    "customer": "anna",
    "due": "2027-06-15",
    "from": 0.95,
    "to": 0.79,
    "floor": 0.8,
}


def test_a_certificate_is_a_sum_that_adds_up(client: Client) -> None:
    ended = client.shows("why", "party-1", "--due", "2027-06-18", body=WHY)

    assert ended.asked == "GET /v1/match/party-1/why?due=2027-06-18"
    sums = [row for row in ended.rows if row and row[0].isdigit()]
    counted = [int(row[0]) for row in sums if row[1] == "of"]
    (count, could_have) = [int(row[0]) for row in sums if row[1] == "="]
    held = [int(row[0]) for row in sums if row[1] == "-"]
    assert (sum(counted), count - sum(held)) == (count, could_have) == (60, 5)
    assert "lagurus from 30 cm" in ended.out and "held by bride-1 due 2027-06-17 (bride, bo, wedding)" in ended.out
    assert "Of nigella it takes no more than 4." in ended.out
    assert "41 % sure and lacks 7.5 stems on average" in ended.out


def test_another_season_is_asked_for_by_name(client: Client) -> None:
    ended = client.shows("why", "a/b", "--due", "2027-06-18", "--season", "careful", body={"sentence": "Filled."})

    assert ended.asked == "GET /v1/match/a%2Fb/why?due=2027-06-18&season=careful"


OUTLOOK = {
    "confidence": 0.8,
    "levels": "at 80 % sure",
    "classes": [{"class": "wedding", "lines": 3, "confidence": 0.55, "expected_missing": 12.0}],
    "orders": [
        {"order": "o1", "customer": "bo", "due": "2027-06-17", "class": "wedding", "lines": 3, "joint_confidence": 0.55}
        | {"expected_missing": 12, "sure": False},
        {"order": "o2", "customer": "al", "due": "2027-06-18", "class": "one_off", "lines": 1, "joint_confidence": 0.9}
        | {"expected_missing": 0, "sure": True},
    ],
    "left_over": [{"product": "lagurus", "week": "2027-W24", "p10": 0, "p50": 12, "p90": 40}],
}


def test_the_outlook_shows_orders_that_are_not_sure_enough(client: Client) -> None:
    ended = client.shows("outlook", "--confidence", "80%", body=OUTLOOK)

    assert ended.asked == "GET /v1/outlook?confidence=0.8"
    assert ["wedding", "3", "55", "%", "12"] in ended.rows
    assert ["2027-06-17", "o1", "bo", "wedding", "3", "55", "%", "12"] in ended.rows
    assert "Orders not sure as a whole, at 80 % sure: 1 of 2" in ended.out and "o2" not in ended.out


def test_the_outlook_shows_all_orders_and_what_is_left_where_asked(client: Client) -> None:
    ended = client.shows("outlook", "--all", "--left-over", body=OUTLOOK)

    assert "o2" in ended.out
    assert ["2027-W24", "lagurus", "0", "12", "40"] in ended.rows


def test_may_promise_says_how_many_and_who_loses(client: Client) -> None:
    body = {"stems": 35, "sentence": "35 lagurus may be promised.", "confidence": 0.86, "displaced": [FALL]}
    ended = client.shows(
        "may-promise",
        "lagurus",
        "--due",
        "2027-06-18",
        "--kind",
        "wedding",
        body={**body, "at_more_would_fall": [FALL]},
    )

    assert ended.sent == {"product": "lagurus", "due": "2027-06-18", "kind": "wedding"}
    assert "35 lagurus may be promised." in ended.out and "86 % sure" in ended.out
    assert ended.rows.count(["2027-06-15", "anna-1", "anna", "anna", "95", "%", "79", "%", "80", "%"]) == 2


def test_a_choice_may_be_asked_for(client: Client) -> None:
    ended = client.shows("may-promise", "role=filler colour=white", "--due", "2027-06-18", body={"sentence": "None."})

    assert ended.sent == {"choice": "role=filler colour=white", "due": "2027-06-18"}


WHAT_IF = {
    "lines_in_all": 9,
    "lines": [
        {
            "line": "party-1",
            "order": "party",
            "product": "lagurus",
            "before": {"due": "2027-06-18", "stems": 20, "confidence": 0.9, "expected_missing": 0.5},
            "after": {"due": "2027-07-09", "stems": 20, "confidence": 0.2, "expected_missing": 14.0},
        }
    ],
    "orders": [
        {"order": "party", "customer": "bram", "before": None, "after": {"due": "2027-07-09", "joint_confidence": 0.2}}
    ],
    "gaps": [{"gap": "g1", "product": "lagurus", "before": {"confidence": 0.4, "missing": 9}, "after": None}],
}


def test_a_what_if_shows_before_and_after(client: Client) -> None:
    ended = client.shows("what-if", "--move", "party", "2027-07-09", body=WHAT_IF)

    assert ended.sent == {"changes": [{"move": "party", "to": "2027-07-09"}]}
    assert "1 of 9 lines differ, and 1 orders as a whole." in ended.out
    for part in ("2027-06-18 -> 2027-07-09", "90 % -> 20 %", "0.5 -> 14", "- -> 20 %", "40 % -> -", "9 -> -"):
        assert part in ended.out


def test_everything_that_can_be_supposed_is_sent(client: Client) -> None:
    words = "--batch variety=lagurus sown=104 --pause anna --frost-weeks-earlier 2 --change standing-lines/a-1 stems=9"
    ended = client.shows("what-if", *words.split(), "--confidence", "0.9", body={})

    assert ended.sent == {
        "confidence": 0.9,
        "changes": [
            {"collection": "batches", "values": {"variety": "lagurus", "sown": "104"}},
            {"pause": "anna"},
            {"frost_weeks_earlier": 2},
            {"collection": "standing-lines", "key": "a-1", "values": {"stems": "9"}},
        ],
    }


def test_a_batch_is_said_by_names_and_values(client: Client) -> None:
    ended = client.run("what-if", "--batch", "lagurus", answers=[])

    assert ended.code == ExitCode.USAGE
    assert "accepted is a name and a value such as sown=104" in ended.err


def test_a_contract_shows_whom_it_displaces(client: Client) -> None:
    ended = client.shows("contract", "q7", body={"order_confidence": 0.9, "displaced": [FALL], "falls": []})

    assert "Less sure than before, and still at their floor:" in ended.out
    assert ["2027-06-15", "anna-1", "anna", "anna", "95", "%", "79", "%", "80", "%"] in ended.rows
