"""`haulm quote`, `hold`, `contract`, `release`: what is asked, what is shown, how a refusal names who would lose."""

from typing import Any

import httpx
import pytest

from support.canned_service import Client, problem

LINE = {
    "line": "q7-1",
    "product": "lagurus",
    "choice": None,
    "stems": 40,
    "spare": 4,
    "free_to_promise": 63,
    "hope_to_offer": 80,
    "confidence": 0.914,
    "price_minor": 1800,
}
QUOTE: dict[str, Any] = {
    "id": "q7",
    "event_date": "2027-08-14",
    "due_date": "2027-08-12",
    "customer": None,
    "level": 0.8,
    "lines": [
        LINE,
        {**LINE, "line": "q7-2", "product": None, "choice": "role=filler", "pieces": ["posy"]},
    ],
    "order_confidence": 0.87,
    "price": {"total_minor": 123456},
    "currency": "EUR",
    "cautions": ["lagurus: awned"],
    "notes": ["Delivery is not priced."],
}
HELD = {
    "id": "q7",
    "status": "on_hold",
    "accepted": True,
    "lines": [{"line": "q7-1", "confidence": 0.91}],
    "order_confidence": 0.87,
    "version": 12,
}
FALL = {
    "line": "std-3",
    "order": "mon-buckets",
    "customer": "Corner florist",
    "due": "2027-06-17",
    "from": 0.83,
    "to": 0.61,
    "floor": 0.8,
}
REFUSAL: dict[str, Any] = {"detail": "This would take stems from one line already promised.", "falls": [FALL]}


def test_a_quote_shows_each_line_and_the_whole(client: Client) -> None:
    ended = client.shows("quote", "--date", "2027-08-14", "--line", "lagurus=40", body=QUOTE)

    assert ["q7-1", "lagurus", "-", "40", "4", "63", "80", "91", "%", "18.00", "EUR"] in ended.rows
    assert ["q7-2", "role=filler", "posy", "40", "4", "63", "80", "91", "%", "18.00", "EUR"] in ended.rows
    for part in ("Quote q7", "stems due 2027-08-12", "87 % sure (80 % asked)", "1234.56 EUR", "awned", "not priced"):
        assert part in ended.out


@pytest.mark.parametrize(
    ("certainty", "said"),
    [("hoped for", "hoped for: White cosmos (92)"), ("likely", "likely; hoped for: White cosmos (92)")],
)
def test_what_is_hoped_for_in_a_line_is_said_once(client: Client, certainty: str, said: str) -> None:
    line = {**QUOTE["lines"][0], "certainty": certainty, "hoped_for": [{"name": "White cosmos", "stems": 92}]}

    ended = client.shows("quote", "--date", "2027-08-14", "--line", "lagurus=40", body={**QUOTE, "lines": [line]})

    assert [said] == [words.strip() for words in ended.out.splitlines() if "hoped for" in words]


def test_what_would_stand_in_is_told_apart_and_so_is_the_largest_size(client: Client) -> None:
    kinds = [{"name": "White zinnia", "stems": 30}, {"name": "White dahlia", "stems": 9, "stands_in": True}]
    line = {**QUOTE["lines"][0], "certainty": "likely", "hoped_for": kinds}
    largest = {"parts": [], "order_confidence": 0.0, "sentence": "No smaller size of it is sure enough that day."}
    words = "quote --date 2027-08-14 --line zinnia_white=40 --stand-ins".split()

    ended = client.shows(*words, body={**QUOTE, "lines": [line], "largest": largest})

    said = " ".join(ended.out.split())
    assert "hoped for: White zinnia (30); behind them: White dahlia (9)" in said
    assert "No smaller size of it is sure enough that day." in said
    assert ended.sent["stand_ins"] is True


def test_pieces_are_asked_by_name_and_count(client: Client) -> None:
    words = "quote --date 2027-08-14 --customer ash --confidence 0.85 --piece".split()

    ended = client.shows(*words, "bridal bouquet=1", "--piece", "buttonhole=6", body=QUOTE)

    assert ended.asked == "POST /v1/quotes"
    assert ended.sent == {
        "date": "2027-08-14",
        "customer": "ash",
        "confidence": 0.85,
        "pieces": [{"piece": "bridal bouquet", "count": 1}, {"piece": "buttonhole", "count": 6}],
    }


def test_a_line_with_an_equals_sign_in_it_is_a_choice(client: Client) -> None:
    lines = ("--line", "lagurus:dried=40", "--line", "role=filler colour=white|cream=60")

    ended = client.shows("quote", "--date", "2027-08-14", *lines, body=QUOTE)

    assert ended.sent["lines"] == [
        {"product": "lagurus:dried", "stems": 40},
        {"choice": "role=filler colour=white|cream", "stems": 60},
    ]


def test_a_quote_with_half_its_fields_missing_is_still_shown(client: Client) -> None:
    ended = client.shows(
        "quote", "--date", "2027-08-14", "--line", "ammi=5", body={"id": "q8", "lines": [{"stems": 5}]}
    )

    assert ["-", "-", "-", "5", "-", "-", "-", "-", "-"] in ended.rows


@pytest.mark.parametrize(
    ("words", "asked", "body", "said"),
    [
        ("hold q7 --until 2027-03-01", "POST /v1/quotes/q7/hold", {"until": "2027-03-01"}, "on hold until 2027-03-01"),
        ("contract q7", "POST /v1/quotes/q7/contract", {}, "is contracted"),
        ("contract q7 --override", "POST /v1/quotes/q7/contract", {"override": True}, "is contracted"),
    ],
)
def test_a_promise_is_sent_and_its_confidence_shown(
    client: Client, words: str, asked: str, body: object, said: str
) -> None:
    ended = client.shows(*words.split(), body=HELD)

    assert (ended.asked, ended.sent) == (asked, body)
    assert said in ended.out
    assert ["q7-1", "91", "%"] in ended.rows
    assert "together: 87 % sure" in ended.out


def test_a_release_gives_the_stems_back(client: Client) -> None:
    ended = client.shows("release", "q7", body={"id": "q7", "status": "released"})

    assert (ended.asked, ended.sent) == ("POST /v1/quotes/q7/release", {})
    assert "free again" in ended.out


def test_a_refusal_says_each_thing_that_would_pass_and_each_sowing_by_itself(client: Client) -> None:
    told = {
        "short": "All its lines together would be 38 % sure, and 80 % is asked.",
        "would_pass": ["40 could be promised.", "What stands today may be held by itself: 40 stems."],
        "to_sow": ["40 tubers, planted on Mon 26 Apr 2027", "40 tubers, planted on Mon 3 May 2027"],
        "decide_by": "2027-04-26",
    }
    ended = client.run("contract", "q7", answers=[problem(409, detail="In one breath.", **told)])
    assert ended.err.splitlines() == [
        told["short"],
        "",
        "What could be promised:",
        *(f"- {one}" for one in told["would_pass"]),
        "",
        "What would close it first, decided by Mon 26 Apr 2027:",
        *(f"- {one}" for one in told["to_sow"]),
    ]


@pytest.mark.parametrize("words", ["hold q7 --until 2027-03-01", "contract q7"])
def test_a_refused_promise_names_whose_confidence_would_fall_to_what(client: Client, words: str) -> None:
    ended = client.run(*words.split(), answers=[problem(409, **REFUSAL)])

    assert (ended.code, ended.out) == (1, "")
    assert ended.err.startswith(REFUSAL["detail"])
    assert "2027-06-17 std-3 mon-buckets Corner florist 83 % 61 % 80 %".split() in [
        line.split() for line in ended.err.splitlines()
    ]


def test_an_override_goes_with_the_hold(client: Client) -> None:
    ended = client.run("hold", "q7", "--until", "2027-03-01", "--override", answers=[httpx.Response(200, json=HELD)])

    assert ended.sent == {"until": "2027-03-01", "override": True}


def test_a_refused_promise_names_a_delivery_as_a_whole(client: Client) -> None:
    ended = client.run("contract", "q7", answers=[problem(409, **{**REFUSAL, "falls": [{**FALL, "line": None}]})])

    assert "2027-06-17 all of it mon-buckets Corner florist 83 % 61 % 80 %".split() in [
        line.split() for line in ended.err.splitlines()
    ]


@pytest.mark.parametrize(("could", "said"), [(True, "could be contracted now"), (False, "could not be contracted now")])
def test_a_hold_says_whether_it_could_be_contracted(client: Client, could: bool, said: str) -> None:
    body = {**HELD, "could_be_contracted": could, "contracting_would_lower": [] if could else [FALL]}
    ended = client.shows("hold", "q7", "--until", "2027-03-01", body=body)

    assert said in ended.out
    assert ("std-3" in ended.out) is not could


def test_why_a_refusal_is_overridden_goes_with_it(client: Client) -> None:
    words = ("contract", "q7", "--override", "--reason", "They come every year.")
    ended = client.run(*words, answers=[httpx.Response(200, json=HELD)])

    assert ended.sent == {"override": True, "override_reason": "They come every year."}


KIND = {
    "variety": "larkspur",
    "name": "White larkspur",
    "use": "worn",
    "severity": "dangerous",
    "decided": "",
    "sentence": "White larkspur: dangerously poisonous. It stays out of what is worn or held (posy) until you decide.",
}
PET = "Lily: can kill pets. Keep it from cats."


def test_a_quote_says_what_it_asks_of_kinds_that_do_harm_and_how_to_answer(client: Client) -> None:
    decided = {**KIND, "decided": "use", "sentence": "Rose: thorns. You use it all the same in what is worn or held."}
    words = "quote --date 2027-08-14 --home cats --home children --home cats --piece posy=1".split()
    ended = client.shows(*words, body={**QUOTE, "kinds": [KIND, decided], "home_warnings": [PET]})

    assert ended.sent["homes"] == ["cats", "children"]
    shown = " ".join(ended.out.split())
    assert f"You decide (dangerous): {KIND['sentence']}" in shown
    assert "'haulm decide larkspur --worn --quote" in shown and "--use-it' or '--keep-out'" in shown
    assert "Decided: Rose: thorns. You use it" in shown
    assert f"In their home: {PET}" in shown


def test_a_decision_is_sent_and_the_quote_that_asked_is_shown_anew(client: Client) -> None:
    version = {"order_confidence": 0.9, "changed": ["White larkspur: used all the same."], "kinds": [KIND]}
    words = "decide larkspur --piece posy --use-it --note gloves --quote q1".split()
    ended = client.shows(*words, body={"decisions": [], "quote": {"id": "q1", "version": version}, "unanswered": ""})

    assert ended.asked == "POST /v1/piece-decisions"
    assert ended.sent == {
        "decisions": [{"variety": "larkspur", "piece": "posy", "note": "gloves", "decision": "use"}],
        "quote": "q1",
    }
    shown = " ".join(ended.out.split())
    assert "Kept; quotes follow it from now on. Quote q1 answered anew, all lines together 90 % sure." in shown
    ended = client.shows(*"decide larkspur --worn --ask-me".split(), body={"quote": None, "unanswered": "It stays."})
    assert " ".join(ended.out.split()) == "Taken back; quotes ask about it again. It stays."


def test_all_decisions_are_listed_with_who_and_when(client: Client) -> None:
    one = {"variety": "larkspur", "use": "worn", "piece": None, "decision": "keep_out", "note": "", "actor": "owner"}
    ended = client.shows("decide", body={"decisions": [{**one, "at_utc": "2027-06-14T06:30:00+00:00"}]})

    assert ended.asked == "GET /v1/piece-decisions"
    assert ended.out.splitlines()[-1].split() == ["larkspur", "keep", "out", "worn", "-", "owner", "2027-06-14"]
    assert client.shows("decide", body={"decisions": []}).out == "Nothing is decided yet.\n"
