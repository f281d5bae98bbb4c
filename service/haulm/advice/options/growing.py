"""By how much sowings grow that do not yet do what they are for: the one way, wherever they are sized."""

from __future__ import annotations

from collections.abc import Sequence

from haulm.advice.options.option import Proof

_FURTHER = 1.3
_LEAST_GROWTH, _MOST_GROWTH = 0.1, 0.6


def growth(before: Proof, after: Proof, levels: Sequence[float]) -> float | None:
    """By how much sowings should grow; None where more of them hardly helps.

    Args:
        before: how sure what they are for is without them.
        after: how sure it is with them.
        levels: how sure it must be, 0-1.

    Source: the confidence gained so far carried on in a straight line, and a little more, since gains shrink.
    """
    lacks = after.lacks(levels)
    gained = before.lacks(levels) - lacks
    if gained <= 0:
        return None
    return 1 + min(max(_FURTHER * lacks / gained, _LEAST_GROWTH), _MOST_GROWTH)
