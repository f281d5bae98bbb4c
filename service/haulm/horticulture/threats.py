"""What frost, heat or hail takes from a crop that stands: its plants, the stems that are ready, or nothing.

Not for the weather of seasons to come: that is drawn by the forecast.
"""

from __future__ import annotations

from enum import StrEnum

from haulm.farm.words import Threat
from haulm.horticulture.frost import COVER_PROTECTION_C


class Harm(StrEnum):
    """What is lost: nothing, the stems that stand ready, or the plants with all that was to come of them."""

    NOTHING = "nothing"
    STEMS = "stems"
    PLANTS = "plants"


def harm_of(threat: Threat, *, kill_c: float, under_cover: bool, min_c: float) -> Harm:
    """What a threat takes from a crop that stands in a bed.

    Frost kills a crop whose level it reaches; cover keeps a bed some degrees warmer. Hail breaks what stands in the
    open and leaves the plants. Heat opens whatever is ready, under cover above all, and leaves the plants.

    Args:
        threat: what comes.
        kill_c: the temperature that harms the crop [deg C].
        under_cover: whether the bed is in a tunnel.
        min_c: how cold it gets in the open [deg C]; only frost asks it.

    Source: what hail and heat do is common practice; the degrees of a cover are those of `frost`.
    """
    if threat is Threat.FROST:
        felt_c = min_c + (COVER_PROTECTION_C if under_cover else 0.0)
        return Harm.PLANTS if felt_c <= kill_c else Harm.NOTHING
    if threat is Threat.HAIL and under_cover:
        return Harm.NOTHING
    return Harm.STEMS


def is_saved_by_cover(*, kill_c: float, under_cover: bool, min_c: float) -> bool:
    """Whether fleece laid over a crop that frost would kill keeps it alive.

    Args:
        kill_c: the temperature that harms the crop [deg C].
        under_cover: whether the bed is in a tunnel already.
        min_c: how cold it gets in the open [deg C].

    Source: fleece holds about as much as any light cover (from memory); `frost.COVER_PROTECTION_C`.
    """
    felt_c = min_c + (COVER_PROTECTION_C if under_cover else 0.0)
    return kill_c < felt_c + COVER_PROTECTION_C
