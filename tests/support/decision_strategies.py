"""Decisions about kinds in pieces, and ticks of what is at home, drawn at random."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from haulm.farm.at_home import AtHome
from haulm.farm.edits import identity
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.words import Decision, InHand, Needed, Use

PIECES = {Use.WORN: ("posy", "bridal_bouquet"), Use.TABLE: ("jar", "low centre")}
"""Pieces of each use about which something can be decided."""


def piece_decisions(
    keys: st.SearchStrategy[str], notes: st.SearchStrategy[str]
) -> st.SearchStrategy[tuple[PieceDecision, ...]]:
    """A few decisions about some kinds, each in every piece of a use or in one."""
    one = st.sampled_from(tuple(PIECES)).flatmap(
        lambda use: st.builds(
            PieceDecision,
            keys,
            st.just(use),
            st.sampled_from(Decision),
            st.none() | st.sampled_from(PIECES[use]),
            notes,
        )
    )
    return st.lists(one, max_size=3, unique_by=identity).map(tuple)


def ticks(keys: st.SearchStrategy[str]) -> st.SearchStrategy[tuple[AtHome, ...]]:
    """A few ticks of some varieties."""
    days = st.dates(date(2026, 1, 1), date(2028, 12, 31))
    one = st.builds(AtHome, keys, st.sampled_from(Needed), st.sampled_from(InHand), days)
    return st.lists(one, max_size=3, unique_by=identity).map(tuple)
