"""Which seasons a variety's own figures hold: a figure that is typed anew holds none."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.evidence.past_years import THROUGH
from haulm.farm.varieties import Variety


def values_with_seasons(row: Variety, values: Mapping[str, object]) -> Mapping[str, object]:
    """The values of a change: where a figure is another and nobody says what it holds, it holds no season.

    A typed figure is where the estimate starts, as the library's is, so past years count against it.
    """
    gone: dict[str, object] = {
        through: None
        for figure, through in THROUGH.items()
        if figure in values and through not in values and values[figure] != getattr(row, figure)
    }
    return {**values, **gone} if gone else values
