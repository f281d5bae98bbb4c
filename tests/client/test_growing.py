"""`haulm back-plan`, `own-figures`, `honesty`: when to sow, what was learnt, what became of what was said."""

import pytest

from haulm_cli.exit_codes import ExitCode
from support.canned_service import Client

DAY = {"date": "2027-05-10", "confidence": 0.84, "mean_stems": 71.5, "plant_out": "2027-06-21"}
PLAN = {
    "sentence": "100 places started between 2027-05-01 and 2027-05-16 give 60 stems in 2027-W32 at 80%.",
    "earliest": {**DAY, "date": "2027-05-01"},
    "best": DAY,
    "latest": None,
    "last_sowing": {"rule": "2027-06-15", "forecast": "2027-06-28", "advised": "2027-06-15"},
}
FIGURE = {
    "variety": "lagurus",
    "figure": "stems_per_plant",
    "in_use": 17.5,
    "before": 17.5,
    "own": 22.4,
    "offered": 19.8,
    "low": 16.2,
    "high": 24.1,
    "standing": "offered",
    "seasons": [{"season": "2026", "at_least": False}, {"season": "2027", "at_least": True}],
}
BOARD = {
    "promises": [{"level": 0.8, "sentence": "Of 20 things said at 80%, 17 came true. That is as it was said."}],
    "reliability": [{"stated": 0.8, "kept": 0.85, "count": 20}],
    "within_80": {"held": 9, "decided": 11, "open": 3},
    "within_50": {"held": 0, "decided": 0, "open": 14},
    "skill_over_weeks_rule": 0.31,
}
FORECAST = {
    "sentence": "First stems about 14 June; 310 stems (180 to 420); no stem in 4 seasons of 100.",
    "typical": [
        {"name": "poor", "stems": 180, "weeks": [{"week": "2027-W25", "stems": 180}]},
        {"name": "good", "stems": 300, "weeks": [{"week": "2027-W24", "stems": 300}]},
    ],
    "doubt": [{"part": "weather", "share": 0.6}],
}


def test_back_plan_asks_for_stems_of_a_week_by_a_method(client: Client) -> None:
    ended = client.shows("back-plan", "lagurus", "2027-W32", "60", "--method", "direct", body=PLAN)

    assert ended.asked == "GET /v1/back-plan?product=lagurus&week=2027-W32&method=direct&stems=60"
    assert ["best", "2027-05-10", "84", "%", "71.5", "-", "2027-06-21"] in ended.rows
    assert "Last sowing of the year: 2027-06-15 (plain rule 2027-06-15, forecast 2027-06-28)." in ended.out


def test_back_plan_asks_for_a_day_as_it_asks_for_a_week(client: Client) -> None:
    ended = client.shows("back-plan", "lagurus", "2027-08-14", "60", body=PLAN)

    assert ended.asked == "GET /v1/back-plan?product=lagurus&week=2027-08-14&method=cover&stems=60"
    assert client.run("back-plan", "lagurus", "soon", "60", answers=[]).code == ExitCode.USAGE


def test_a_day_that_is_not_there_is_left_out(client: Client) -> None:
    ended = client.shows("back-plan", "lagurus", "2027-W32", "60", body=PLAN)

    assert [row[0] for row in ended.rows if row and row[0] in ("earliest", "best", "latest")] == ["earliest", "best"]


def test_what_a_batch_gives_is_said_in_words_with_seasons_that_could_happen_side_by_side(client: Client) -> None:
    ended = client.shows("batch-forecast", "lagurus-2", body=FORECAST)

    assert ended.asked == "GET /v1/batches/lagurus-2/forecast"
    assert "First stems about 14 June; 310 stems (180 to 420); no stem in 4 seasons of 100." in ended.out
    assert ["week", "poor", "good"] in ended.rows
    assert ["2027-W24", "0", "300"] in ended.rows and ["2027-W25", "180", "0"] in ended.rows
    assert ["weather", "60", "%"] in ended.rows


def test_own_figures_stand_beside_what_is_in_use(client: Client) -> None:
    ended = client.shows("own-figures", body={"figures": [FIGURE]})

    row = next(row for row in ended.rows if row[:1] == ["lagurus"])
    assert row[1:5] == ["stems_per_plant", "17.5", "17.5", "22.4"]
    assert "2 (1 at least)" in ended.out
    assert "16.2 to 24.1" in ended.out


@pytest.mark.parametrize("word", ["accept", "refuse"])
def test_a_figure_is_taken_over_or_refused_by_name(client: Client, word: str) -> None:
    ended = client.shows("own-figures", f"--{word}", "lagurus/stems_per_plant", body={**FIGURE, "standing": f"{word}d"})

    assert ended.asked == f"POST /v1/own-figures/lagurus/stems_per_plant/{word}"
    assert f"{word}d" in ended.out


def test_a_figure_without_a_variety_is_a_usage_error(client: Client) -> None:
    assert client.run("own-figures", "--accept", "lagurus", answers=[]).code == ExitCode.USAGE


def test_no_finished_batch_is_said(client: Client) -> None:
    assert "No finished batch" in client.shows("own-figures", body={"figures": []}).out


def test_the_board_says_how_many_things_came_true(client: Client) -> None:
    ended = client.shows("honesty", body=BOARD)

    assert "Of 20 things said at 80%, 17 came true." in ended.out
    assert ["80", "%", "85", "%", "20"] in ended.rows
    assert "Of 11 forecast weeks, 9 came inside the 80 % range." in ended.out
    assert "50 % range" not in ended.out
    assert "missed 31 % less than the plain weeks rule" in ended.out


def test_an_empty_board_says_that_there_is_nothing_to_judge(client: Client) -> None:
    assert "nothing to judge" in client.shows("honesty", body={"promises": []}).out
