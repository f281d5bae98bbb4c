"""`haulm shortfalls`, `haulm options` and `haulm digest`: what is short, what can still be done, until when."""

from typing import Any

import httpx
import pytest

from support.canned_service import Client

SHORT = {
    "line": "wed-1/2",
    "order": "wed-1",
    "product": "ammi",
    "due": "2027-08-12",
    "stems": 60,
    "expected_missing": 18.5,
    "confidence": 0.418,
    "decide_by": "2027-05-02",
    "gap": "g2",
    "customer": "the Wennas",
}
EARLY = {"gap": "g1", "product": "lagurus", "weeks": ["2027-W28", "2027-W29"], "missing": 40, "decide_by": "2027-04-01"}
LATE = {"gap": "g2", "product": "ammi", "weeks": ["2027-W32"], "missing": 19, "decide_by": "2027-05-02"}
NEVER = {"gap": "g0", "product": "phlox", "weeks": ["2027-W23"], "missing": 9, "decide_by": None}


def test_gaps_stand_by_the_day_to_decide_and_those_past_help_come_last(client: Client) -> None:
    out = client.shows("shortfalls", body={"shortfalls": [], "gaps": [NEVER, LATE, EARLY]}).out

    assert out.index("gap g1") < out.index("gap g2") < out.index("gap g0")
    assert "Decide by -: gap g0" in out
    assert "2027-W28 to 2027-W29" in out


def test_a_short_line_stands_inside_its_gap(client: Client) -> None:
    ended = client.shows("shortfalls", body={"shortfalls": [SHORT], "gaps": [EARLY, LATE]})

    assert ["2027-08-12", "wed-1", "wed-1/2", "the", "Wennas", "60", "18.5", "41", "%"] in ended.rows
    assert ended.out.index("gap g2") < ended.out.index("ammi, 2027-W32") < ended.out.index("wed-1/2")


def test_a_short_line_without_a_gap_is_not_lost(client: Client) -> None:
    ended = client.shows("shortfalls", body={"shortfalls": [{**SHORT, "gap": None}], "gaps": [EARLY]})

    assert "outside any gap" in ended.out
    assert ["2027-08-12", "wed-1", "wed-1/2", "the", "Wennas", "ammi", "60", "18.5", "41", "%"] in ended.rows


@pytest.mark.parametrize("columns", [60, 80])
def test_on_a_narrow_screen_a_short_line_keeps_its_date_and_key_whole(
    client: Client, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    short = {**SHORT, "line": "wedding-of-august-12", "order": "wedding-of-august", "customer": "couple-of-august"}

    ended = client.shows("shortfalls", body={"shortfalls": [short], "gaps": [LATE]})

    figures = next(row for row in ended.rows if row[:2] == ["2027-08-12", "wedding-of-august-12"])
    assert figures[-4:] == ["60", "18.5", "41", "%"]
    assert "couple-of-august" in ended.out
    assert "wedding-of-august" not in ended.out.split()


def test_the_sentence_of_a_short_line_is_shown(client: Client) -> None:
    said = {**SHORT, "sentence": "Frost took a third of the batch."}

    assert "Frost took a third" in client.shows("shortfalls", body={"shortfalls": [said], "gaps": [LATE]}).out


def test_no_shortfall_is_good_news(client: Client) -> None:
    ended = client.shows(
        "shortfalls", "--confidence", "0.9", body={"levels": "at 90 % sure", "shortfalls": [], "gaps": []}
    )

    assert ended.asked == "GET /v1/shortfalls?confidence=0.9"
    assert "Nothing is short at 90 % sure." in ended.out


def test_an_option_says_before_and_after_and_what_it_costs(client: Client) -> None:
    option = {
        "kind": "succession",
        "sentence": "Sow 84 places of ammi under heat.",
        "decide_by": "2027-05-02",
        "confidence_before": 0.41,
        "confidence_after": 0.86,
        "missing_before": 19,
        "missing_after": 0,
        "cost_minor": 1250,
        "batch": None,
    }

    ended = client.shows("options", "g2", body={"gap": "g2", "currency": "GBP", "options": [option]})

    for part in ("2027-05-02", "succession", "41 % -> 86 %", "19 -> 0", "12.50 GBP", "Sow 84 places"):
        assert part in ended.out


@pytest.mark.parametrize("columns", [60, 80, 100])
def test_what_to_do_stands_in_full_lines_under_its_figures(
    client: Client, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    sentence = (
        "Sow 90 places of ammi in 2 trays on 2027-04-26 and plant them out in bed t2 from 2027-05-20 on, at the latest."
    )
    option = {"kind": "succession", "decide_by": "2027-05-02", "missing_before": 19, "missing_after": 0}

    out = client.shows("options", "g2", body={"options": [{**option, "sentence": sentence}]}).out

    *_, figures, first, second = out.splitlines()
    assert figures.split() == ["2027-05-02", "succession", "-", "->", "-", "19", "->", "0", "-"]
    assert first.startswith("    Sow 90 places") and columns - 12 < len(first) <= columns
    assert f"{first.strip()} {second.strip()}" == sentence


def test_a_cost_without_a_currency_is_not_given_one(client: Client) -> None:
    ended = client.shows("options", "g2", body={"options": [{"kind": "buy_in", "cost_minor": 1250}]})

    assert "1250 minor units" in ended.out


def test_a_gap_is_asked_for_by_its_whole_key(client: Client) -> None:
    ended = client.shows("options", "g1", body={"options": [], "pending": True})
    assert ended.out.startswith("What can close the gap g1 is still being worked out")
    ended = client.shows("options", "ammi/2027-W32 white", body={"options": []})

    assert ended.asked == "GET /v1/gaps/ammi%2F2027-W32%20white/options"
    assert "tell the customers" in ended.out


COMBINED: dict[str, Any] = {
    "pending": False,
    "as_of": "2027-03-15T18:04:00.000Z",
    "currency": "GBP",
    "batches": [
        {"key": "extra-2", "variety": "ammi", "sow_date": None, "plant_out_date": "2027-05-20", "method": "plugs"},
        {"key": "extra-1", "variety": "lagurus", "sow_date": "2027-04-05", "method": "cover", "sown": 90, "bed": "b3"},
    ],
    "cost_minor": 270,
    "closed": [
        {"gap": "g1", "confidence_before": 0.41, "confidence_after": 0.86, "missing_before": 40, "missing_after": 3}
    ],
    "open": [{"gap": "g0", "confidence": 0.2, "missing": 9, "reason": "No sowing in time.", "lines": ["wed-1/2"]}],
    "not_counted": "Hours are not counted.",
}


def test_the_combined_plan_shows_batches_by_day_what_they_close_and_what_stays(client: Client) -> None:
    ended = client.shows("combined-plan", "--confidence", "0.9", body=COMBINED)

    assert ended.asked == "POST /v1/combined-plan?confidence=0.9"
    assert ended.out.index("2027-04-05") < ended.out.index("2027-05-20")
    for part in ("Batches to add: 2, seed for 2.70 GBP", "41 % -> 86 %", "40 -> 3", "No sowing in time.", "wed-1/2"):
        assert part in ended.out
    assert "Hours are not counted." in ended.out


def test_the_combined_plan_is_asked_for_once_and_waited_for(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("haulm_cli.commands.combined_plan.LOOK_EVERY_S", 0.0)
    waiting = {**COMBINED, "pending": True, "as_of": None, "gaps": None}
    begun = {**waiting, "looked_at": 14, "gaps": 19}
    bodies = [waiting, begun, begun, COMBINED]
    ended = client.run("combined-plan", answers=[httpx.Response(200, json=body) for body in bodies])

    assert [one.method for one in ended.requests] == ["POST", "GET", "GET", "GET"]
    assert (ended.code, ended.err) == (0, "") and "Batches to add: 2" in ended.out


def test_a_combined_plan_that_is_never_done_is_given_up(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("haulm_cli.commands.combined_plan.LOOK_EVERY_S", 0.0)
    monkeypatch.setattr("haulm_cli.commands.combined_plan.LONGEST_S", 2)
    waiting = {**COMBINED, "pending": True, "as_of": None, "gaps": None}
    ended = client.run("combined-plan", answers=[httpx.Response(200, json=waiting)] * 3)

    assert (ended.code, ended.out) == (4, "") and "still being worked out" in ended.err


def test_a_combined_plan_that_was_dropped_for_others_says_so(client: Client) -> None:
    ended = client.shows("combined-plan", body={**COMBINED, "as_of": None})
    assert ended.out.startswith("Others were asked for since")


def test_a_farm_with_nothing_short_needs_no_combined_plan(client: Client) -> None:
    nothing = {"batches": [], "closed": [], "open": []}
    ended = client.shows("combined-plan", body={**COMBINED, **nothing, "levels": "at 90 % sure"})

    assert ended.out == "Nothing is short at 90 % sure: no batch is needed.\n"


def test_the_digest_prints_its_letter_line_by_line(client: Client) -> None:
    ended = client.shows("digest", body={"date": "2027-05-01", "text": "Two gaps.\n\n  ammi, W32\n", "gaps": []})

    assert ended.out == "Two gaps.\n\n  ammi, W32\n"
    assert ended.asked == "GET /v1/digest"


def test_a_day_that_is_still_being_worked_out_says_so_and_since_when_the_last_one_stands(client: Client) -> None:
    new = {**NEVER, "pending": True, "as_of": None}
    known = {**EARLY, "pending": True, "as_of": "2027-03-15T18:04:00.000Z"}
    out = client.shows("shortfalls", body={"shortfalls": [], "gaps": [new, known]}).out

    assert "Decide by 2027-04-01, as of 2027-03-15T18:04:00.000Z: gap g1" in out
    assert "The day to decide is still being worked out: gap g0" in out
