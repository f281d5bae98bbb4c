"""How sure something is as seasons of ten, and why it is no surer, in words for the grower."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from haulm.farm.quantities import percent, seasons_of_ten, up_to_ten
from haulm.language.words import _, marked, one_or_more
from haulm.matching.reading.causes import Cause, CauseShare
from haulm.matching.reading.faces import TEN, Faces

_CAUSES: Mapping[Cause, str] = {
    Cause.NOTHING_SOWN: marked("nothing is sown that could be ready for it"),
    Cause.LOST: marked("a sowing is lost or fails"),
    Cause.DEAD_LOT: marked("seed does not come up"),
    Cause.FROST: marked("frost takes the plants"),
    Cause.LATE: marked("it comes too late"),
    Cause.EARLY: marked("it is over too early"),
    Cause.FEW: marked("there are too few stems, even for this alone"),
    Cause.TAKEN: marked("earlier lines take what there is"),
}
_HALF = 0.5


def faces_in_words(found: Faces) -> str:
    """The faces as a sentence: `All 160 in six seasons of ten, a part in two (usually about 90), none in two`."""
    ten = found.of_ten
    whole = _("{what} in {seasons}").format(what=_all(found), seasons=seasons_of_ten(found.all))
    return f"{whole}." if ten.all == TEN else f"{', '.join((whole, *_rest(found)))}."


def causes_in_words(causes: Iterable[CauseShare]) -> tuple[str, ...]:
    """Each cause with its share of the seasons in which something is short, the largest first: `64 %: it comes ...`."""
    largest_first = sorted(causes, key=lambda one: -one.share)
    return tuple(f"{percent(one.share)}: {cause_in_words(one)}" for one in largest_first)


def cause_in_words(one: CauseShare) -> str:
    """A cause in words, with its usual days where it is late or early."""
    cause = _(_CAUSES[one.cause])
    if not one.days:
        return cause
    said = one_or_more("{cause}, usually by {days} day", "{cause}, usually by {days} days", one.days)
    return said.format(cause=cause, days=one.days)


def _all(found: Faces) -> str:
    return _("All {count}").format(count=f"{found.asked:,}") if found.asked > 1 else _("The stem")


def _rest(found: Faces) -> Iterator[str]:
    """What is said of a part and of none."""
    ten = found.of_ten
    if ten.part:
        yield _("a part in {seasons} (usually about {count})").format(
            seasons=_rarely(ten.part, found.part), count=f"{found.usual_part:,}"
        )
    if ten.none:
        what = _("a part or none") if not ten.part and found.part > 0 else _("none")
        yield _("{what} in {seasons}").format(
            what=what, seasons=_rarely(ten.none, 1 - found.all if not ten.part else found.none)
        )


def _rarely(count: int, share: float) -> str:
    """A number of seasons; what is rounded up to one, so that nothing looks surer than it is, is `at most one`."""
    return _("at most one") if count == 1 and share * TEN < _HALF else up_to_ten(count)


def marks_in_words(found: Faces) -> tuple[str, ...]:
    """Each of the ten seasons as `all`, `part` or `none`, the best first."""
    ten = found.of_ten
    return (*("all",) * ten.all, *("part",) * ten.part, *("none",) * ten.none)
