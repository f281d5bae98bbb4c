"""The shape of the published facts that a forecast may be judged by: dates, normals, winters, slopes, stems.

Checked against nothing but themselves; what they say, and how far each was read: data/PUBLISHED_FACTS.txt. That the two
halves were split by a rule that knows no model is worked out again here from each row's own kind and place.
"""

from __future__ import annotations

import csv
from datetime import date
from functools import cache
from hashlib import sha256
from pathlib import Path

import pytest

DATA = Path(__file__).parent / "data"
TABLES = ("dates_elsewhere", "normals_of_places", "winter_survival", "days_per_degree", "stems_per_plant")
KEYS = dict(zip(TABLES, ("id", "climate", "id", "species", "id"), strict=True))
WHERE = {"dates_elsewhere": "climate", "winter_survival": "place"}
SEEN = {"page", "opening", "abstract", "data", "computed", "read", "from memory"}
COUNTS = {
    "yes",
    "limit",
    "extreme year",
    "extreme place",
    "advice",
    "place recalled",
    "start recalled",
    "start judged",
    "start not told",
    "start is planting",
    "doubtful",
}


@cache
def rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the tables."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def half(kind: str, where: str) -> str:
    """The side on which the rule puts a kind at a place."""
    return "put_aside" if int(sha256(f"{kind}@{where}".encode()).hexdigest()[-1], 16) % 2 else "open"


def rises(texts: list[str]) -> bool:
    """Whether the numbers that are given do not fall."""
    given = [float(text) for text in texts if text]
    return bool(given) and given == sorted(given)


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_a_key_of_its_own_a_source_and_says_how_far_it_was_read(name: str) -> None:
    found = rows(name)

    assert len({row[KEYS[name]] for row in found}) == len(found) >= 29
    assert [row for row in found if len(row["source"]) < 25 and row["seen"] != "from memory"] == []
    assert {row["seen"] for row in found} <= SEEN
    assert all(None not in row and None not in row.values() for row in found)


@pytest.mark.parametrize("name", WHERE)
def test_the_halves_follow_the_rule_and_neither_is_small(name: str) -> None:
    found = rows(name)
    aside = sum(row["use"] == "put_aside" for row in found)

    assert [row["id"] for row in found if row["use"] != half(row["kind"], row[WHERE[name]])] == []
    assert 0.4 * len(found) <= aside <= 0.6 * len(found)


def test_the_slopes_are_split_by_the_same_rule() -> None:
    found = rows("days_per_degree")

    assert [row["species"] for row in found if row["use"] != half(row["species"], "gardens")] == []
    assert {row["use"] for row in found} == {"open", "put_aside"}


def test_dates_are_in_order_and_no_flower_comes_before_its_sowing() -> None:
    for row in rows("dates_elsewhere"):
        first, last = date.fromisoformat(row["first"]), date.fromisoformat(row["last"])
        assert first <= last, row["id"]
        if row["start"] != "established":
            start, start_last = date.fromisoformat(row["start"]), date.fromisoformat(row["start_last"])
            assert start <= start_last < first, row["id"]
        else:
            assert row["start_last"] == "", row["id"]


def test_at_least_sixty_dates_are_fit_to_judge_by_and_none_of_them_is_from_memory() -> None:
    found = rows("dates_elsewhere")
    fit = [row for row in found if row["counts"] == "yes"]

    assert {row["counts"] for row in found} <= COUNTS
    assert len(fit) >= 60
    assert [row["id"] for row in found if row["seen"] == "from memory"] == []
    assert min(sum(row["use"] == use for row in fit) for use in ("open", "put_aside")) >= 25
    assert all(row["tunnel"] in {"0", "1"} and int(row["to_first_days"]) <= 0 for row in found)


def test_every_place_of_a_date_has_normals_close_by() -> None:
    normals = {row["climate"]: row for row in rows("normals_of_places")}

    for row in rows("dates_elsewhere"):
        assert row["climate"] in normals, row["id"]
        assert abs(float(row["latitude"]) - float(normals[row["climate"]]["latitude"])) <= 0.7, row["id"]
    assert normals.keys() == {row["climate"] for row in rows("dates_elsewhere")}


def test_normals_hold_twelve_months_warmer_by_day_than_by_night_and_summers_on_their_side() -> None:
    for row in rows("normals_of_places"):
        lows, highs = ([float(row[f"{end}_{month}"]) for month in range(1, 13)] for end in ("min", "max"))
        assert all(3 <= high - low <= 22 for low, high in zip(lows, highs, strict=True)), row["climate"]
        assert (highs[6] > highs[0]) is (float(row["latitude"]) > 0), row["climate"]


def test_survivals_are_fractions_and_no_temperature_is_left_unexplained() -> None:
    for row in rows("winter_survival"):
        assert rises(["0", row["survival_low"], row["survival_high"], "1"]), row["id"]
        assert row["temperature_of"] and row["measure"], row["id"]
        assert row["temperature_c"] == "" or float(row["temperature_c"]) < 0, row["id"]


def test_slopes_lie_in_their_intervals_and_stems_in_their_ranges() -> None:
    for row in rows("days_per_degree"):
        assert rises([row["ci_low"], row["days_per_deg_c"], row["ci_high"]]), row["species"]
    for row in rows("stems_per_plant"):
        assert rises([row["stems_low"], row["stems_typical"], row["stems_high"]]), row["id"]
        assert row["unit"].split(",")[0] in {"plant", "square foot", "square metre"}, row["id"]
