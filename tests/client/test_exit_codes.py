"""How a command ends when it does not end well: refused, misused, no service, the service's fault."""

import httpx
import pytest

from haulm_cli.exit_codes import ExitCode
from support.canned_service import Client, problem

QUOTE = ("quote", "--date", "2027-08-14", "--line", "ammi=5")
GONE = httpx.ConnectError("connection refused")
BROKEN = httpx.RemoteProtocolError("server disconnected")


def test_the_numbers_are_those_that_scripts_rely_on() -> None:
    assert [code.value for code in ExitCode] == [0, 1, 2, 3, 4]


def test_a_refusal_prints_its_sentence_and_each_field(client: Client) -> None:
    wrong = {"pointer": "/lines/0/stems", "found": "-5", "accepted": "a whole number from 1 up"}

    ended = client.run(
        *QUOTE, answers=[problem(422, detail="Two fields are wrong.", errors=[wrong, {"where": "date"}])]
    )

    assert (ended.code, ended.out) == (1, "")
    assert ended.err.splitlines() == [
        "Two fields are wrong.",
        "  /lines/0/stems: found -5; accepted is a whole number from 1 up",
        "  date: found -; accepted is -",
    ]


@pytest.mark.parametrize(
    ("status", "code"), [(400, 1), (401, 1), (404, 1), (409, 1), (412, 1), (422, 1), (500, 4), (503, 4)]
)
def test_the_status_decides_whose_fault_it_is(client: Client, status: int, code: int) -> None:
    ended = client.run("digest", answers=[problem(status, title="Not like this")])

    assert (ended.code, ended.err) == (code, "Not like this\n")


def test_a_failure_without_problem_details_still_has_a_sentence(client: Client) -> None:
    ended = client.run("digest", answers=[httpx.Response(502, text="<html>Bad gateway</html>")])

    assert (ended.code, ended.err) == (4, "The service answered with status 502 and no explanation.\n")


@pytest.mark.parametrize("answer", [httpx.Response(200, text="<html>"), httpx.Response(200, json=[1])])
def test_an_answer_that_is_no_json_object_is_not_a_haulm_service(client: Client, answer: httpx.Response) -> None:
    ended = client.run("shortfalls", answers=[answer])

    assert (ended.code, ended.out) == (4, "")
    assert "is it a Haulm service?" in ended.err


def test_an_address_that_sends_callers_on_is_named(client: Client) -> None:
    moved = httpx.Response(308, headers={"Location": "https://farm.example/"})

    ended = client.run("digest", answers=[moved])

    assert ended.code == 4
    assert "https://farm.example/" in ended.err


def test_without_a_service_the_client_says_what_to_start(client: Client) -> None:
    ended = client.run("digest", "--url", "http://127.0.0.1:8999", answers=[GONE])

    assert (ended.code, len(ended.requests)) == (3, 1)
    assert "http://127.0.0.1:8999" in ended.err
    assert "haulm-service serve" in ended.err


@pytest.mark.parametrize("last", [BROKEN, GONE])
def test_a_connection_lost_twice_is_no_service_and_leaves_the_outcome_open(client: Client, last: Exception) -> None:
    ended = client.run(*QUOTE, answers=[BROKEN, last])

    assert (ended.code, len(ended.requests)) == (3, 2)
    assert "Whether it was done is not known" in ended.err


def test_a_service_that_takes_too_long_is_not_asked_again(client: Client) -> None:
    ended = client.run("digest", answers=[httpx.ReadTimeout("slow")])

    assert (ended.code, len(ended.requests)) == (4, 1)
    assert "took too long" in ended.err


def test_after_a_lost_connection_a_post_is_sent_once_more_under_the_same_key(client: Client) -> None:
    ended = client.run(*QUOTE, answers=[BROKEN, httpx.Response(200, json={"id": "q1"})])

    first, second = ended.requests
    assert ended.code == 0
    assert first.headers["Idempotency-Key"] == second.headers["Idempotency-Key"]
    assert first.content == second.content


def test_every_post_has_a_key_of_its_own_and_a_get_has_none(client: Client) -> None:
    posts = [client.shows(*QUOTE, body={}).requests[0].headers["Idempotency-Key"] for _ in range(2)]

    assert len(set(posts)) == 2
    assert "Idempotency-Key" not in client.shows("digest", body={}).requests[0].headers


@pytest.mark.parametrize(
    "words",
    [
        "",
        "prune",
        "availability --from 2027-W54",
        "availability --from 2027-20",
        "availability --weeks 0",
        "availability --confidence 80",
        "availability --confidence much",
        "quote --date 2027-08-14",
        "quote --date 2027-02-30 --line ammi=5",
        "quote --date 2027-08-14 --line ammi",
        "quote --date 2027-08-14 --line ammi=0",
        "quote --date 2027-08-14 --line ammi=5 --piece posy=1",
        "hold q7",
        "record pruned",
        "record cut --batch a --variety b",
        "record cut --count -3",
        "batch ammi --sow 2027-03-15 --method thrown --sown 9",
        "health --url ftp://farm.example",
        "health --url http://",
        "health --url http://[::1",
    ],
)
def test_a_command_nobody_can_read_is_a_usage_error_and_asks_nothing(client: Client, words: str) -> None:
    ended = client.run(*words.split(), answers=[])

    assert (ended.code, ended.out, ended.requests) == (2, "", [])
    assert "usage: haulm" in ended.err
