"""How seasons of ten, and the causes of a doubt, stand on the wire."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.jobs.gaps.faces_words import cause_in_words, faces_in_words
from haulm.matching.reading.causes import Cause, CauseShare
from haulm.matching.reading.faces import Faces
from haulm.rest.wire import Shape


class OfTenShape(Shape):
    """Seasons out of ten, adding up to ten, never surer than it is."""

    all: int
    part: int
    none: int


class FacesShape(Shape):
    """How the seasons treat what is asked.

    `all`, `part` and `none` weigh the seasons in which every stem, some stems and no stem come, and add up to 1;
    `usual_part` is the middling number of stems where a part comes.
    """

    asked: int
    all: float
    part: float
    none: float
    usual_part: int
    of_ten: OfTenShape
    sentence: str


class CauseShape(Shape):
    """Why a line is short: `share` of the seasons in which it is, 0 to 1; all shares add up to 1.

    `days` is by how many days it is late or early in a middling season of these, null for other causes.
    """

    cause: Cause
    share: float
    days: int | None
    sentence: str


def faces_shape(found: Faces) -> FacesShape:
    """The faces as they are sent."""
    ten = found.of_ten
    return FacesShape(
        asked=found.asked,
        all=round(found.all, 6),
        part=round(found.part, 6),
        none=round(found.none, 6),
        usual_part=found.usual_part,
        of_ten=OfTenShape(all=ten.all, part=ten.part, none=ten.none),
        sentence=faces_in_words(found),
    )


def cause_shapes(found: Iterable[CauseShare]) -> list[CauseShape]:
    """The causes in their order."""
    return [
        CauseShape(cause=one.cause, share=round(one.share, 9), days=one.days or None, sentence=cause_in_words(one))
        for one in found
    ]
