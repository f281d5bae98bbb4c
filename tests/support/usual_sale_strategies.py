"""Usual sales of a farm, drawn at random: of a product or a choice, from any source."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from hypothesis import strategies as st

from haulm.farm.products import Choice, Product
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import Week
from haulm.farm.words import UsualSource, Weekday

_DAYS = st.dates(dt.date(2026, 1, 1), dt.date(2028, 12, 31))


@st.composite
def _rows(
    draw: st.DrawFn,
    products: st.SearchStrategy[Product],
    choices: st.SearchStrategy[Choice],
    own: st.SearchStrategy[str],
    buyers: Sequence[str],
) -> UsualSale:
    product = draw(st.none() | products)
    first = Week.of(draw(_DAYS))
    return UsualSale(
        draw(own),
        draw(st.sampled_from(UsualSource)),
        draw(st.integers(1, 200)),
        first,
        first.plus(draw(st.integers(0, 20))),
        product,
        draw(choices) if product is None else None,
        draw(st.none() | st.sampled_from(Weekday)),
        draw(st.none() | st.integers(0, 500)),
        draw(st.sampled_from((None, *buyers))),
        draw(st.sampled_from(("", "wanted more of it", 'a "note", with a comma'))),
    )


def usual_sales(
    products: st.SearchStrategy[Product],
    choices: st.SearchStrategy[Choice],
    own: st.SearchStrategy[str],
    buyers: Sequence[str] = (),
) -> st.SearchStrategy[tuple[UsualSale, ...]]:
    """A few rows with keys of their own, of customers or of nobody by name."""
    rows = st.lists(_rows(products, choices, own, buyers), max_size=3, unique_by=lambda row: row.key)
    return rows.map(tuple)
