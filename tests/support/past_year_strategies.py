"""Past years of a farm, drawn at random: of a variety or a kind, with days, totals or both."""

from __future__ import annotations

import datetime as dt

from hypothesis import strategies as st

from haulm.farm.past_years import PastYear
from haulm.farm.words import Method


@st.composite
def _years(
    draw: st.DrawFn, keys: st.SearchStrategy[str], own: st.SearchStrategy[str], notes: st.SearchStrategy[str]
) -> PastYear:
    """One row; its days stand in order."""
    variety = draw(st.none() | keys)
    year, days, totals = draw(st.integers(2020, 2026)), draw(st.booleans()), draw(st.booleans())
    counts = (draw(st.integers(1, 9000)), draw(st.integers(1, 900))) if totals or not days else (None, None)
    first = dt.date(year, draw(st.integers(1, 12)), draw(st.integers(1, 28))) if days else None
    wait, lasting = draw(st.integers(1, 300)), draw(st.integers(0, 100))
    return PastYear(
        draw(own),
        year,
        variety,
        None if variety else draw(st.sampled_from(("zinnia", "sweet_pea"))),
        None if first is None or draw(st.booleans()) else first - dt.timedelta(days=wait),
        draw(st.none() | st.sampled_from(Method)),
        draw(st.booleans()),
        first,
        None if first is None or draw(st.booleans()) else first + dt.timedelta(days=lasting),
        *counts,
        draw(st.booleans()),
        draw(notes),
    )


def past_years(
    keys: st.SearchStrategy[str], own: st.SearchStrategy[str], notes: st.SearchStrategy[str]
) -> st.SearchStrategy[tuple[PastYear, ...]]:
    """A few rows, each variety or kind, year and sowing once."""
    rows = st.lists(_years(keys, own, notes), max_size=3, unique_by=(lambda row: row.key, _grown))
    return rows.map(tuple)


def _grown(row: PastYear) -> tuple[object, ...]:
    return (row.variety, row.kind, row.year, row.sow_date)
