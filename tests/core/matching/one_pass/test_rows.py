"""The operations on rows of seasons are the same as calls of numpy and as loops for the compiler."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.matching.one_pass import row_calls, row_loops, rows
from haulm.matching.supply import StemArray

ROWS, LANES = 6, 3
Work = Callable[..., object]
Arguments = Callable[[StemArray, StemArray, int, int], tuple[object, ...]]


@st.composite
def tables(draw: st.DrawFn) -> tuple[StemArray, StemArray, int, int]:
    """Rows that rise, as F and G do, others with any stems, and two places of a row, the second no smaller."""
    numbers = st.lists(st.integers(0, 9), min_size=ROWS * LANES, max_size=ROWS * LANES)
    rising = np.cumsum(np.array(draw(numbers), np.int16).reshape(ROWS, LANES), axis=0, dtype=np.int16)
    first, second = sorted((draw(st.integers(0, ROWS - 1)), draw(st.integers(0, ROWS - 1))))
    return rising, np.array(draw(numbers), np.int16).reshape(ROWS, LANES), first, second


def both(name: str, *arguments: object) -> list[tuple[object, list[object]]]:
    """What each way returns and leaves in the arrays that it was given, each its own copies."""
    found = []
    for module in (row_calls, row_loops):
        own = [item.copy() if isinstance(item, np.ndarray) else item for item in arguments]
        work: Work = getattr(module, name)
        answer = work(*own)
        told = answer.tolist() if isinstance(answer, np.ndarray) else answer
        found.append((told, [item.tolist() if isinstance(item, np.ndarray) else item for item in own]))
    return found


CASES: list[tuple[str, Arguments]] = [
    ("fill", lambda levels, out, a, b: (out[a], 7)),
    ("put", lambda levels, out, a, b: (out[a], levels, b)),
    ("is_any", lambda levels, out, a, b: (out[a],)),
    ("is_any", lambda levels, out, a, b: (np.zeros(LANES, np.int16),)),
    ("least", lambda levels, out, a, b: (out[a], levels[a], out[b])),
    ("subtract", lambda levels, out, a, b: (levels[b], out, a)),
    ("is_same", lambda levels, out, a, b: (out[a], out, b)),
    ("drop_too_few", lambda levels, out, a, b: (out, a, b, levels[a], 4)),
    ("ask", lambda levels, out, a, b: (out[0], out[1], levels, b, a)),
    ("hold_less", lambda levels, out, a, b: (levels, 0, a, b + 1, out, a)),
    ("free_less", lambda levels, out, a, b: (levels, a, b + 1, out, b)),
    ("clear_rows", lambda levels, out, a, b: (levels, a, b)),
    ("copy_rows", lambda levels, out, a, b: (out, a, b + 1, levels, np.arange(ROWS)[::-1].copy())),
    ("add", lambda levels, out, a, b: (levels, a, out, b)),
    ("settle_held", lambda levels, out, a, b: (out, a, b + 1, levels, np.arange(ROWS))),
    ("settle_freed", lambda levels, out, a, b: (out, a, b + 1, levels, np.arange(ROWS))),
    ("column", lambda levels, out, a, b: (levels, a, b + 1, 1)),
    ("put_column", lambda levels, out, a, b: (levels, a, b + 1, 1, out[0, :1].repeat(b + 1 - a))),
]


@pytest.mark.parametrize(("name", "arguments"), CASES)
@given(instance=tables())
def test_calls_and_loops_do_the_same(
    name: str, arguments: Arguments, instance: tuple[StemArray, StemArray, int, int]
) -> None:
    calls, loops = both(name, *arguments(*instance))

    assert calls == loops


@given(st.lists(st.booleans(), min_size=1, max_size=9), st.integers(0, 9))
def test_the_next_line_that_is_met_is_the_same(flags: list[bool], line: int) -> None:
    line = min(line, len(flags))
    met = row_calls.next_visited(bytearray(flags), line), row_loops.next_visited(np.array(flags), line)

    assert met[0] == met[1]
    assert not any(flags[line : met[0]])


def test_every_operation_is_tried_here() -> None:
    assert {name for name, _ in CASES} | {"next_visited"} == set(rows.__all__)
