"""What frost, heat and hail take: plants where it is as cold as kills them, ready stems where they break or open."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from haulm.farm.words import Threat
from haulm.horticulture.threats import Harm, harm_of, is_saved_by_cover


@pytest.mark.parametrize(
    ("min_c", "under_cover", "harm"),
    [(-1.0, False, Harm.NOTHING), (-2.0, False, Harm.PLANTS), (-3.0, True, Harm.NOTHING), (-4.0, True, Harm.PLANTS)],
)
def test_frost_kills_what_it_reaches_and_cover_is_two_degrees_warmer(
    min_c: float, under_cover: bool, harm: Harm
) -> None:
    assert harm_of(Threat.FROST, kill_c=-2.0, under_cover=under_cover, min_c=min_c) is harm


def test_hail_breaks_what_stands_in_the_open_and_heat_opens_everything() -> None:
    hail = [harm_of(Threat.HAIL, kill_c=-9.0, under_cover=tunnel, min_c=0.0) for tunnel in (False, True)]
    heat = [harm_of(Threat.HEAT, kill_c=-9.0, under_cover=tunnel, min_c=0.0) for tunnel in (False, True)]

    assert (hail, heat) == ([Harm.STEMS, Harm.NOTHING], [Harm.STEMS, Harm.STEMS])


@pytest.mark.parametrize(("min_c", "is_saved"), [(-2.0, True), (-3.9, True), (-4.0, False), (-8.0, False)])
def test_fleece_saves_what_two_degrees_more_would(min_c: float, is_saved: bool) -> None:
    assert is_saved_by_cover(kill_c=-2.0, under_cover=False, min_c=min_c) is is_saved


@dataclass(frozen=True)
class Hardy:
    """A hardy crop that dies below -12 deg C in the open."""

    is_soft: bool

    def alive(self, min_c: float) -> float:
        return 1.0 if min_c > -12.0 else 0.0


@pytest.mark.parametrize(
    ("min_c", "is_soft", "harm"),
    [
        (-5.0, False, Harm.NOTHING),
        (-6.0, False, Harm.STEMS),
        (-6.0, True, Harm.YEAR),
        (-11.0, True, Harm.YEAR),
        (-12.0, False, Harm.PLANTS),
        (-12.0, True, Harm.PLANTS),
    ],
)
def test_a_hardy_crop_loses_stems_at_its_level_and_its_plants_only_where_few_live(
    min_c: float, is_soft: bool, harm: Harm
) -> None:
    found = harm_of(Threat.FROST, kill_c=-6.0, under_cover=False, min_c=min_c, wintering=Hardy(is_soft))

    assert found is harm


@pytest.mark.parametrize(("min_c", "is_saved"), [(-7.0, True), (-8.0, False), (-13.0, False)])
def test_fleece_over_a_hardy_crop_in_bud_has_to_save_this_years_stems(min_c: float, is_saved: bool) -> None:
    found = is_saved_by_cover(kill_c=-6.0, under_cover=False, min_c=min_c, wintering=Hardy(is_soft=True))

    assert found is is_saved
