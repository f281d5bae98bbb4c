"""`haulm replies` and `accept-reply`: what florists answered, and the grower's word on it."""

import pytest

from haulm_cli.exit_codes import ExitCode
from support.canned_service import Client, problem

REPLY = {
    "id": 12,
    "customer": "anna",
    "week": "2027-W25",
    "late": True,
    "asks": ["2 bunches more of Bunny tail", "nothing this week"],
    "note": "Sorry!",
}


def test_answers_are_listed_with_their_numbers(client: Client) -> None:
    ended = client.shows("replies", body={"replies": [REPLY]})

    assert ended.asked == "GET /v1/replies"
    assert "12" in ended.out and "late" in ended.out and "Sorry!" in ended.out
    assert "2 bunches more of Bunny tail" in " ".join(ended.out.split())


def test_nothing_waits_is_said(client: Client) -> None:
    assert "No answer waits" in client.shows("replies", body={"replies": []}).out


@pytest.mark.parametrize(
    ("arguments", "word", "sent"),
    [
        ([], "accept", {"bunches": {}, "override": False, "note": ""}),
        (["--bunches", "1=1", "--bunches", "2=0"], "accept", {"bunches": {"0": 1, "1": 0}}),
        (["--override", "--note", "Gladly."], "accept", {"override": True, "note": "Gladly."}),
        (["--decline"], "decline", {"override": False}),
    ],
)
def test_the_word_on_an_answer_is_sent(
    client: Client, arguments: list[str], word: str, sent: dict[str, object]
) -> None:
    ended = client.shows("accept-reply", "12", *arguments, body={"outcomes": ["yes", "not this time"]})

    assert ended.asked == f"POST /v1/replies/12/{word}"
    assert sent.items() <= ended.sent.items()
    assert ended.out.splitlines() == ["Ask 1: yes.", "Ask 2: not this time."]


@pytest.mark.parametrize("arguments", [["x"], ["12", "--bunches", "1"], ["12", "--bunches", "0=1"], []])
def test_what_cannot_be_read_is_a_usage_error(client: Client, arguments: list[str]) -> None:
    assert client.run("accept-reply", *arguments, answers=[]).code == ExitCode.USAGE


def test_a_refusal_is_passed_on(client: Client) -> None:
    ended = client.run("accept-reply", "12", answers=[problem(409, detail="party would fall.")])

    assert (ended.code, "party would fall." in ended.err) == (ExitCode.REFUSED, True)
