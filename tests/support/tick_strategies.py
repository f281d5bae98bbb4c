"""Ticks of what is at home or ordered, drawn at random."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from haulm.farm.at_home import AtHome
from haulm.farm.edits import identity
from haulm.farm.words import InHand, Needed


def ticks(keys: st.SearchStrategy[str]) -> st.SearchStrategy[tuple[AtHome, ...]]:
    """A few ticks of some varieties."""
    days = st.dates(date(2026, 1, 1), date(2028, 12, 31))
    one = st.builds(AtHome, keys, st.sampled_from(Needed), st.sampled_from(InHand), days)
    return st.lists(one, max_size=3, unique_by=identity).map(tuple)
