"""A kind that nobody grows is a slip of the pen, and no shortage."""

from __future__ import annotations

import pytest

from haulm.crop_library.library import crop_for
from haulm.errors import NotAccepted
from haulm.farm.products import Choice
from haulm.jobs.desk.grown_here import check_kinds_grown
from support.demo_farms import demo_farm
from support.farms import order_line

CROPS = {variety.key: crop_for(variety) for variety in demo_farm().varieties}


def test_a_kind_that_is_misspelt_is_refused_with_the_nearest_names() -> None:
    with pytest.raises(NotAccepted, match=r"'cosmoss'.*cosmos"):
        check_kinds_grown(CROPS, order_line(product=None, choice=Choice.parse("kind=cosmoss")))


def test_a_kind_that_is_grown_is_asked_for() -> None:
    check_kinds_grown(CROPS, order_line(product=None, choice=Choice.parse("kind=cosmos|zinnia")))
    check_kinds_grown(CROPS, order_line(product="cosmos_white"))
