"""How the parts of a doubt stand on the wire."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.forecast.parts_of_doubt import Part, PartOfDoubt
from haulm.rest.wire import Shape


class PartOfDoubtShape(Shape):
    """What part of the doubt comes from one thing, 0 to 1; the shares of all parts add up to 1."""

    part: Part
    share: float


def doubt_shapes(parts: Iterable[PartOfDoubt]) -> list[PartOfDoubtShape]:
    """The parts, the largest first."""
    return [PartOfDoubtShape(part=one.part, share=round(one.share, 9)) for one in parts]
