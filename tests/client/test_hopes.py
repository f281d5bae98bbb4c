"""`haulm at-home`, `usual-sales`: what is in hand to be sown, and what is hoped for."""

import httpx
import pytest

from haulm_cli.exit_codes import ExitCode
from support.canned_service import Client, problem

TICK = {
    "variety": "lagurus",
    "name": "Hare's-tail grass",
    "what": "seed",
    "state": "ordered",
    "date": "2027-03-15",
    "holds_until": "2027-07-31",
    "holds": True,
    "sentence": "Seed of Hare's-tail grass: ordered, ticked on Mon 15 Mar 2027; that holds until Sat 31 Jul 2027.",
}
SALE = {
    "key": "u1",
    "source": "stall",
    "product": "lagurus",
    "choice": None,
    "stems": 30,
    "first_week": "2027-W25",
    "last_week": "2027-W32",
    "customer": None,
    "note": "market",
}


@pytest.mark.parametrize(
    ("words", "sent"),
    [
        ("at-home lagurus", {"variety": "lagurus", "what": "seed", "state": "at_home"}),
        ("at-home lagurus seed --ordered", {"variety": "lagurus", "what": "seed", "state": "ordered"}),
        ("at-home dahlia tubers --none", {"variety": "dahlia", "what": "tubers", "state": "none"}),
    ],
)
def test_a_tick_is_sent_and_said_as_the_service_says_it(client: Client, words: str, sent: dict[str, str]) -> None:
    ended = client.shows(*words.split(), body=TICK)

    assert (ended.asked, ended.sent) == ("POST /v1/at-home", sent)
    assert " ".join(ended.out.split()) == TICK["sentence"]


def test_ticks_are_listed_with_until_when_they_hold(client: Client) -> None:
    ended = client.shows("at-home", body={"ticks": [TICK]})

    assert ended.asked == "GET /v1/at-home"
    assert "lagurus" in ended.out and "ordered" in ended.out and "Sat 31 Jul 2027" in ended.out
    assert client.shows("at-home", body={"ticks": []}).out == "Nothing is ticked.\n"


def test_usual_sales_are_listed(client: Client) -> None:
    ended = client.shows("usual-sales", body={"rows": [SALE, {**SALE, "key": "u2", "choice": "role=filler"}]})

    assert ended.asked == "GET /v1/usual-sales?limit=1000"
    assert "2027-W25 to 2027-W32" in ended.out and "market" in ended.out
    assert client.shows("usual-sales", body={"rows": []}).out == "No usual sale is entered yet.\n"


def test_a_usual_sale_is_added_changed_and_taken_back_under_a_key_of_the_call(client: Client) -> None:
    words = "usual-sales --add --source stall --product lagurus --stems 30 --from 2027-W25 --to 2027-W32 --note market"
    added = client.shows(*words.split(), body=SALE)
    assert added.asked == "POST /v1/usual-sales"
    assert added.sent == {
        name: SALE[name] for name in ("source", "product", "stems", "first_week", "last_week", "note")
    }

    changed = client.shows("usual-sales", "u1", "--stems", "20", body={**SALE, "stems": 20})
    assert (changed.asked, changed.sent) == ("PATCH /v1/usual-sales/u1", {"stems": 20})
    assert "20 stems a week of lagurus, weeks 2027-W25 to 2027-W32" in " ".join(changed.out.split())

    gone = client.shows("usual-sales", "u1", "--take-back", body=SALE)
    assert gone.asked == "DELETE /v1/usual-sales/u1" and "Usual sale u1 is taken back" in gone.out
    assert all(ended.requests[0].headers["Idempotency-Key"] for ended in (added, changed, gone))


def test_a_refusal_of_either_is_said(client: Client) -> None:
    for words in (["at-home", "nothing"], ["usual-sales", "u9", "--take-back"]):
        ended = client.run(*words, answers=[problem(404, detail="There is no such thing.")])
        assert (ended.code, ended.err) == (ExitCode.REFUSED, "There is no such thing.\n")


def test_a_change_whose_connection_broke_is_sent_again_under_the_same_key(client: Client) -> None:
    answers = [httpx.ReadError("gone"), httpx.Response(200, json=SALE)]
    ended = client.run("usual-sales", "u1", "--take-back", answers=answers)

    assert ended.code == ExitCode.DONE
    first, again = (request.headers["Idempotency-Key"] for request in ended.requests)
    assert first == again
