"""What frost, heat or hail takes from a crop that stands: its plants, the stems that are ready, or nothing.

Not for the weather of seasons to come: that is drawn by the forecast.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Protocol

from haulm.farm.words import Threat
from haulm.horticulture.frost import COVER_PROTECTION_C

_HALF = 0.5
"""A sowing is counted as lost where a smaller share of its plants would live through the night [share]."""


class Harm(StrEnum):
    """What is lost: nothing, the stems that stand ready, all stems of this year, or the plants for good."""

    NOTHING = "nothing"
    STEMS = "stems"
    YEAR = "year"
    PLANTS = "plants"


class Wintering(Protocol):
    """A hardy crop on the night of a frost."""

    @property
    def is_soft(self) -> bool:
        """Whether its stems are no hardier than their level, as they are once buds show."""
        ...

    def alive(self, min_c: float, /) -> float:
        """The share of its plants that lives where the open gets so cold [deg C], 0-1."""
        ...


def harm_of(
    threat: Threat, *, kill_c: float, under_cover: bool, min_c: float, wintering: Wintering | None = None
) -> Harm:
    """What a threat takes from a crop that stands in a bed.

    Frost kills a tender crop whose level it reaches. A hardy one dies where fewer than half of its plants live through
    the night; at its level it loses the stems that stand ready and, where it is soft, all of that year. Cover keeps a
    bed some degrees warmer. Hail breaks what stands in the open and leaves the plants. Heat opens whatever is ready,
    under cover above all, and leaves the plants.

    Args:
        threat: what comes.
        kill_c: the temperature that harms the crop, or the stems of a hardy one [deg C].
        under_cover: whether the bed is in a tunnel.
        min_c: how cold it gets in the open [deg C]; only frost asks it.
        wintering: the crop on that night, if it is hardy; None: a night at its level kills it.

    Source: what hail and heat do is common practice; the degrees of a cover are those of `frost`.
    """
    if threat is Threat.FROST:
        return _of_frost(wintering, min_c, reached=_felt_c(min_c, under_cover=under_cover) <= kill_c)
    if threat is Threat.HAIL and under_cover:
        return Harm.NOTHING
    assert threat in (Threat.HAIL, Threat.HEAT), "every threat has a rule of its own"
    return Harm.STEMS


def _of_frost(wintering: Wintering | None, min_c: float, *, reached: bool) -> Harm:
    if wintering is None:
        return Harm.PLANTS if reached else Harm.NOTHING
    if wintering.alive(min_c) < _HALF:
        return Harm.PLANTS
    of_stems = Harm.YEAR if wintering.is_soft else Harm.STEMS
    return of_stems if reached else Harm.NOTHING


def is_saved_by_cover(*, kill_c: float, under_cover: bool, min_c: float, wintering: Wintering | None = None) -> bool:
    """Whether fleece laid over a crop keeps the stems it is to give from a frost that would take them.

    Args:
        kill_c: the temperature that harms the crop [deg C].
        under_cover: whether the bed is in a tunnel already.
        min_c: how cold it gets in the open [deg C].
        wintering: as of `harm_of`.

    Source: fleece holds about as much as any light cover (from memory); `frost.COVER_PROTECTION_C`.
    """
    harm = harm_of(
        Threat.FROST, kill_c=kill_c, under_cover=under_cover, min_c=min_c + COVER_PROTECTION_C, wintering=wintering
    )
    return not takes_what_comes(harm)


def takes_what_comes(harm: Harm) -> bool:
    """Whether stems are lost that are still to come.

    Args:
        harm: what a threat takes.

    Source: definition.
    """
    return harm in (Harm.YEAR, Harm.PLANTS)


def _felt_c(min_c: float, *, under_cover: bool) -> float:
    return min_c + (COVER_PROTECTION_C if under_cover else 0.0)
