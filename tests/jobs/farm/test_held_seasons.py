"""A variety's own figure that is typed anew holds no season, unless who types it says which it holds."""

from haulm.jobs.farm.held_seasons import values_with_seasons
from support.farms import variety

KNOWN = variety(stems_per_plant=6.0, stems_through=2025, weeks_to_flower=12.0, weeks_through=2026)


def test_a_figure_typed_anew_holds_none_and_the_other_keeps_its_own() -> None:
    assert values_with_seasons(KNOWN, {"stems_per_plant": 7.0}) == {"stems_per_plant": 7.0, "stems_through": None}
    assert values_with_seasons(KNOWN, {"weeks_to_flower": 11.0}) == {"weeks_to_flower": 11.0, "weeks_through": None}


def test_the_same_figure_again_holds_what_it_held() -> None:
    assert values_with_seasons(KNOWN, {"stems_per_plant": 6.0}) == {"stems_per_plant": 6.0}


def test_who_says_what_it_holds_is_believed() -> None:
    said = {"stems_per_plant": 7.0, "stems_through": 2024}

    assert values_with_seasons(KNOWN, said) == said


def test_other_values_change_nothing() -> None:
    assert values_with_seasons(KNOWN, {"name": "Grass"}) == {"name": "Grass"}
