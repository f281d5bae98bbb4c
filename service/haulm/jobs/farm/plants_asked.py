"""What the farm is asked about its plants: which of several a name means, and what a name near a known one is."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.crop_library.library import question_about
from haulm.farm.varieties import Variety


def plants_asked(varieties: Iterable[Variety]) -> tuple[str, ...]:
    """A sentence for each variety of whose plant something is to be said, each once; a botanical name answers it."""
    return tuple(dict.fromkeys(asked for variety in varieties if (asked := question_about(variety)) is not None))
