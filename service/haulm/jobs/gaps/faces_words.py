"""How sure something is as seasons of ten, and why it is no surer, in words for the grower."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from haulm.farm.quantities import percent, seasons_of_ten, up_to_ten
from haulm.matching.reading.causes import Cause, CauseShare
from haulm.matching.reading.faces import TEN, Faces

_CAUSES: Mapping[Cause, str] = {
    Cause.NOTHING_SOWN: "nothing is sown that could be ready for it",
    Cause.LOST: "a sowing is lost or fails",
    Cause.DEAD_LOT: "seed does not come up",
    Cause.FROST: "frost takes the plants",
    Cause.LATE: "it comes too late",
    Cause.EARLY: "it is over too early",
    Cause.FEW: "there are too few stems, even for this alone",
    Cause.TAKEN: "earlier lines take what there is",
}
_HALF = 0.5


def faces_in_words(found: Faces) -> str:
    """The faces as a sentence: `All 160 in six seasons of ten, a part in two (usually about 90), none in two`."""
    ten = found.of_ten
    whole = f"{_all(found)} in {seasons_of_ten(found.all)}"
    return f"{whole}." if ten.all == TEN else f"{', '.join((whole, *_rest(found)))}."


def causes_in_words(causes: Iterable[CauseShare]) -> tuple[str, ...]:
    """Each cause with its share of the seasons in which something is short, the largest first: `64 %: it comes ...`."""
    largest_first = sorted(causes, key=lambda one: -one.share)
    return tuple(f"{percent(one.share)}: {cause_in_words(one)}" for one in largest_first)


def cause_in_words(one: CauseShare) -> str:
    """A cause in words, with its usual days where it is late or early."""
    by = f", usually by {one.days} day{'' if one.days == 1 else 's'}" if one.days else ""
    return f"{_CAUSES[one.cause]}{by}"


def _all(found: Faces) -> str:
    return f"All {found.asked:,}" if found.asked > 1 else "The stem"


def _rest(found: Faces) -> Iterator[str]:
    """What is said of a part and of none."""
    ten = found.of_ten
    if ten.part:
        yield f"a part in {_rarely(ten.part, found.part)} (usually about {found.usual_part:,})"
    if ten.none:
        what = "a part or none" if not ten.part and found.part > 0 else "none"
        yield f"{what} in {_rarely(ten.none, 1 - found.all if not ten.part else found.none)}"


def _rarely(count: int, share: float) -> str:
    """A number of seasons; what is rounded up to one, so that nothing looks surer than it is, is `at most one`."""
    return "at most one" if count == 1 and share * TEN < _HALF else up_to_ten(count)


def marks_in_words(found: Faces) -> tuple[str, ...]:
    """Each of the ten seasons as `all`, `part` or `none`, the best first."""
    ten = found.of_ten
    return (*("all",) * ten.all, *("part",) * ten.part, *("none",) * ten.none)
