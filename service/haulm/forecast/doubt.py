"""Uncertainty of figures: how far a kind's need and yield may be off for reasons other than weather.

It belongs to the figures of a kind and its varieties, not to a season: all batches of a kind share its draw, year after
year, so five zinnias don't fail one by one.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class FigureDoubt:
    """What is not known of a figure, on its logarithm.

    Attributes:
        shift: moves the mean of the logarithm, where own years say that a figure is off.
        kind_sd: spread shared by all varieties of a kind.
        variety_sd: spread of a variety within its kind, shared by all its batches.
    """

    shift: float = 0.0
    kind_sd: float = 0.0
    variety_sd: float = 0.0

    def __post_init__(self) -> None:
        assert self.kind_sd >= 0, "the spread of a kind is never negative"
        assert self.variety_sd >= 0, "the spread of a variety is never negative"


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is not known of a variety: what its first stem takes, and what a plant of it gives."""

    need: FigureDoubt = field(default_factory=FigureDoubt)
    stems: FigureDoubt = field(default_factory=FigureDoubt)


EXACT = Doubt()
