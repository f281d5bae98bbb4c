"""An even share: in proportion, in whole bunches, the bunches left over by turn."""

from __future__ import annotations

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.even_share import even_share

ASKED = st.lists(st.integers(0, 300), min_size=1, max_size=8)


def test_ninety_stems_for_sixty_forty_and_twenty() -> None:
    # Source: common practice. 90/120 of each is 45, 30, 15; in bunches of ten 40, 30, 10; the last ten go by turn.
    shares = even_share(90, [60, 40, 20], [2, 0, 1], 10)

    assert [share.exact for share in shares] == [45.0, 30.0, 15.0]
    assert [share.stems - share.extra_bunches * 10 for share in shares] == [40, 30, 10]
    assert [share.stems for share in shares] == [40, 30, 20]


def test_a_bunch_left_over_passes_by_whoever_asked_less_than_it() -> None:
    assert [share.stems for share in even_share(40, [5, 45], [0, 1], 10)] == [0, 40]


@given(ASKED, st.integers(0, 2000), st.integers(1, 30), st.randoms())
def test_shares_are_whole_bunches_and_never_more_than_there_is_or_was_asked(
    asked: list[int], there: int, bunch: int, chance: Random
) -> None:
    turns = list(range(len(asked)))
    chance.shuffle(turns)
    shares = even_share(there, asked, turns, bunch)

    assert sum(share.stems for share in shares) <= there
    assert all(share.stems <= share.asked and share.stems % bunch == 0 for share in shares)
    assert [share.asked for share in shares] == asked


@given(ASKED, st.integers(0, 2000), st.integers(1, 30))
def test_no_bunch_is_left_that_somebody_could_still_have(asked: list[int], there: int, bunch: int) -> None:
    shares = even_share(there, asked, list(range(len(asked))), bunch)

    left = there - sum(share.stems for share in shares)
    assert left < bunch or all(share.stems + bunch > share.asked for share in shares)
