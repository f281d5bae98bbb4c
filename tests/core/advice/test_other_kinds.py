"""Which other kinds may stand in: colours of one family, and kinds named by the customer that flower sooner."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haulm.advice.options.faster_kind import as_faster, faster_kinds
from haulm.advice.options.option import Option, Proof
from haulm.advice.options.palette import same_family
from haulm.farm.batches import Batch
from haulm.farm.products import Choice, Product
from haulm.farm.words import Role
from support.advice_builders import TODAY, dated_line
from support.forecast_builders import GRASS

QUICK, SLOW, FILLER = Product("quick"), Product("slow"), Product("filler")
CROPS = {
    "grass": GRASS,
    "quick": replace(GRASS, key="quick", weeks_to_flower=GRASS.weeks_to_flower - 2),
    "slow": replace(GRASS, key="slow", weeks_to_flower=GRASS.weeks_to_flower + 2),
    "filler": replace(GRASS, key="filler", weeks_to_flower=3.0, role=Role.FOCAL),
}


@pytest.mark.parametrize(("one", "other"), [("white", "cream"), ("Peach", "orange"), ("puce", "puce")])
def test_colours_of_a_family_stand_in_for_one_another(one: str, other: str) -> None:
    assert same_family(one, other) and same_family(other, one)


@pytest.mark.parametrize(("one", "other"), [("white", "blue"), ("puce", "mauve"), (None, None), ("white", None)])
def test_others_do_not(one: str | None, other: str | None) -> None:
    assert not same_family(one, other)


def test_a_quicker_kind_is_one_that_the_line_names_with_the_same_role() -> None:
    line = dated_line(substitutes=(SLOW, FILLER, QUICK, Product.parse("quick:dried")))
    assert GRASS.role is not Role.FOCAL
    assert faster_kinds([line], CROPS) == (QUICK,)


def test_a_line_that_names_none_and_a_choice_have_no_quicker_kind() -> None:
    choice = dated_line(product=None, choice=Choice((GRASS.role,)), substitutes=(QUICK,))
    assert faster_kinds([dated_line(), choice], CROPS) == ()


def test_its_sowing_is_called_what_it_is() -> None:
    sowing = Option("succession", "Sow.", TODAY, Proof((0,), 9), Proof((1,), 0), True, batches=(Batch("b", "quick"),))
    (found,) = as_faster([sowing])
    assert (found.kind, found.product, found.batches) == ("faster_kind", QUICK, sowing.batches)
