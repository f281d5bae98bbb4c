"""What there is shared out in proportion to what was asked, in whole bunches, with the working to show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haulm.farm.quantities import whole_down


@dataclass(frozen=True, slots=True)
class Share:
    """What one of several gets.

    Attributes:
        asked: stems asked.
        exact: its part in proportion, before rounding [stems].
        stems: what it gets: whole bunches, never more than asked.
        extra_bunches: bunches among these that came to it by turn and not by rounding down.
    """

    asked: int
    exact: float
    stems: int
    extra_bunches: int

    def __post_init__(self) -> None:
        assert 0 <= self.stems <= self.asked, "nobody is given more than was asked"


def even_share(there: int, asked: Sequence[int], turns: Sequence[int], bunch_stems: int) -> tuple[Share, ...]:
    """Share stems out in proportion, rounded down to whole bunches; bunches left over go round by turn.

    Args:
        there: stems there are [stems].
        asked: what each asks, not negative [stems].
        turns: every place in `asked` once, in the order in which bunches left over are given: the first gets the first.
        bunch_stems: stems of a bunch, 1 or more.

    Returns:
        One share for each; together never more than there is. Stems that make no bunch are left over.

    Source: common practice (in proportion, whole bunches, the last bunch by turn).
    """
    wanted = sum(asked)
    part = 0.0 if wanted == 0 else min(1.0, there / wanted)
    exact = [want * part for want in asked]
    bunches = [whole_down(share) // bunch_stems for share in exact]
    extra = [0] * len(asked)
    left = there // bunch_stems - sum(bunches)
    while left > 0:
        given = False
        for place in turns:
            if left > 0 and (bunches[place] + extra[place] + 1) * bunch_stems <= asked[place]:
                extra[place] += 1
                left -= 1
                given = True
        if not given:
            break
    return tuple(
        Share(want, share, (count + more) * bunch_stems, more)
        for want, share, count, more in zip(asked, exact, bunches, extra, strict=True)
    )
