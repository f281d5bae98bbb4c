"""Sizes of the doubt: those that were measured, less where a figure is the farm's own, and the library's mean."""

from __future__ import annotations

from math import hypot, log

import pytest

from haulm.crop_library.library import crop_for, library
from haulm.farm.varieties import Variety
from haulm.forecast.doubt import FigureDoubt
from haulm.forecast.doubt_sizes import MOST_STEMS, usual_doubt


def whole(doubt: FigureDoubt) -> float:
    return hypot(doubt.kind_sd, doubt.variety_sd)


def sizes(key: str, **own: object) -> tuple[float, float]:
    """The whole spreads of weeks and of stems of a variety, by its library's kind."""
    doubt = usual_doubt(crop_for(Variety(key, key, **own)))  # type: ignore[arg-type]
    return whole(doubt.need), whole(doubt.stems)


@pytest.mark.parametrize(
    ("kind", "weeks"),
    [
        *(("peony", 0.11), ("tulip", 0.11), ("cosmos", 0.15), ("zinnia", 0.15), ("dahlia", 0.15)),
        *(("larkspur", 0.20), ("anemone", 0.40), ("ranunculus", 0.40), ("sweet_william", 0.25)),
    ],
)
def test_weeks_are_doubted_by_what_dated_facts_left_open(kind: str, weeks: float) -> None:
    assert sizes(kind)[0] == pytest.approx(weeks, rel=0.01)


@pytest.mark.parametrize(("kind", "stems"), [("tulip", 0.15), ("sunflower_single", 0.15), ("stock", 0.30)])
def test_a_plant_of_one_stem_is_doubted_little(kind: str, stems: float) -> None:
    assert sizes(kind)[1] == pytest.approx(stems, rel=0.01)


def test_stems_are_doubted_by_their_published_range_and_by_growers_at_most_so_much() -> None:
    assert sizes("marigold")[1] == pytest.approx(hypot(log(22 / 6) / 2.56, 0.30), rel=0.01)
    assert max(sizes(kind)[1] for kind in library()) == pytest.approx(MOST_STEMS, rel=0.01)
    assert sum(sizes(kind)[1] for kind in library()) / len(library()) == pytest.approx(0.48, abs=0.02)


def test_a_plant_that_nobody_knows_or_that_grows_otherwise_has_no_range() -> None:
    assert sizes("widows_thrill")[1] == pytest.approx(0.50, rel=0.01)
    from_another_habit = Variety("marigold", "Marigold", habit=library()["stock"].habit)
    assert whole(usual_doubt(crop_for(from_another_habit)).stems) == pytest.approx(0.50, rel=0.01)


def test_the_farms_own_figures_are_doubted_less_but_never_more() -> None:
    assert sizes("marigold", weeks_to_flower=12.0, stems_per_plant=9.0) == pytest.approx((0.06, 0.25), rel=0.01)
    assert sizes("tulip", stems_per_plant=1.0)[1] == pytest.approx(0.15, rel=0.01)
