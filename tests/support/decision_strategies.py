"""Decisions about kinds in pieces, drawn at random."""

from __future__ import annotations

from hypothesis import strategies as st

from haulm.farm.edits import identity
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.words import Decision, Use

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
