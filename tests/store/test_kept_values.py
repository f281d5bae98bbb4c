"""What the background worked out is kept as JSON and read again as the very same value, or not at all."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulm.advice.options.option import Option, Proof, Worth
from haulm.advice.ways import Ways
from haulm.demand.dated_line import DatedLine
from haulm.farm.batches import Batch
from haulm.farm.products import Choice, Product
from haulm.store.kept_values import NotOfShape, as_json, from_json, shape_of
from support.scale import count

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
MAYBE = st.none() | NUMBERS
PROOFS = st.builds(
    Proof, sure=st.lists(NUMBERS, min_size=1, max_size=3).map(tuple), missing=st.floats(0, allow_infinity=False)
)
WORTHS = st.builds(Worth, missing_stems=NUMBERS, gained_stems=NUMBERS)
BATCHES = st.builds(Batch, trays=MAYBE, metres=MAYBE)
COUNTS = {"stems": st.integers(9, 99), "minimum": st.integers(0, 9)}
LINES = st.builds(
    DatedLine,
    product=st.from_type(Product),
    choice=st.none(),
    promised_confidence=st.none(),
    usual_level=NUMBERS,
    **COUNTS,
) | st.builds(
    DatedLine,
    product=st.none(),
    choice=st.from_type(Choice),
    is_spare=st.just(False),
    promised_confidence=MAYBE,
    usual_level=NUMBERS,
    **COUNTS,
)
OPTIONS = st.builds(
    Option,
    before=PROOFS,
    after=st.none() | PROOFS,
    worth=st.none() | WORTHS,
    batches=st.lists(BATCHES, max_size=2).map(tuple),
    lines=st.lists(LINES, max_size=2).map(tuple),
)


@settings(max_examples=count(60, 600))
@given(OPTIONS)
def test_an_option_comes_back_as_it_was_kept(option: Option) -> None:
    told = json.loads(json.dumps(as_json(Option, option)))
    found = from_json(Option, told)
    assert found == option and repr(found) == repr(option)


@settings(max_examples=count(20, 200))
@given(st.builds(Ways, options=st.lists(OPTIONS, max_size=2).map(tuple)))
def test_the_ways_of_a_gap_come_back_as_they_were_kept(ways: Ways) -> None:
    assert from_json(Ways, json.loads(json.dumps(as_json(Ways, ways)))) == ways


@settings(max_examples=count(20, 200))
@given(OPTIONS, st.data())
def test_what_lacks_a_field_or_has_one_more_is_not_read(option: Option, data: st.DataObject) -> None:
    told = as_json(Option, option)
    name = data.draw(st.sampled_from(sorted(told)))
    with pytest.raises(NotOfShape):
        from_json(Option, {key: value for key, value in told.items() if key != name})
    with pytest.raises(NotOfShape):
        from_json(Option, {**told, "more": 1})


@pytest.mark.parametrize(
    ("kind", "found"),
    [
        (Proof, {"sure": 0.5, "missing": 1.0}),
        (Proof, {"sure": ["0.5"], "missing": 1.0}),
        (Proof, {"sure": [True], "missing": 1.0}),
        (Proof, {"sure": [0.5], "missing": None}),
        (Proof, [0.5, 1.0]),
        (Worth, None),
        (date, "15 March"),
        (date, 20270315),
        (int, True),
        (int, 1.0),
        (str, 1),
        (tuple[int, str], [1]),
    ],
)  # fmt: skip
def test_what_is_of_another_class_is_not_read(kind: Any, found: object) -> None:
    with pytest.raises(NotOfShape):
        from_json(kind, found)


def test_a_value_of_another_class_is_not_kept() -> None:
    for kind, value in ((Batch, Proof((0.5,), 1.0)), (int, "one"), (int | str, 1), (list, [1])):
        with pytest.raises(NotOfShape):
            as_json(kind, value)


def test_a_whole_number_may_stand_for_one_that_need_not_be() -> None:
    assert as_json(Proof, Proof((1,), 0)) == {"sure": [1.0], "missing": 0.0}


def test_a_class_with_another_field_type_or_word_has_another_shape() -> None:
    class Two(StrEnum):
        A = "a"
        B = "b"

    def made(kind: Any, name: str = "field") -> type:
        return dataclass(type("Made", (), {"__annotations__": {name: kind}}))

    kinds: list[Any] = [int, float, date, Two, tuple[int, ...], int | None]
    shapes = [shape_of(made(kind)) for kind in kinds] + [shape_of(made(int, "other"))]
    assert len(set(shapes)) == len(shapes)
    assert shape_of(Option) == shape_of(Option) != shape_of(DatedLine)
