"""What is to be said of the farm's kinds at a place: hazards, and quietly how stems are handled and kinds spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from haulm.errors import NotFound
from haulm.farm.place_words import Place
from haulm.farm.warnings import Warned, general_words, handling_notes, warnings_at, weed_notes
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.planning.keeping import crops_of


@dataclass(frozen=True, slots=True)
class SeenWarnings:
    """What is to be said at a place.

    Attributes:
        place: where somebody acts.
        general: what is said there whatever the kinds are.
        warned: the hazards, the worst first, each kind once.
        handling: how stems want to be handled; no hazards.
        weeds: where kinds spread; no hazards.
    """

    place: Place
    general: tuple[str, ...]
    warned: tuple[Warned, ...]
    handling: tuple[str, ...]
    weeds: tuple[str, ...]


def see_warnings(desk: Desk, place: Place, varieties: Sequence[str] = ()) -> SeenWarnings:
    """What is to be said of some varieties at a place; of all that the farm grows where none is named.

    Raises:
        NotFound: the farm has no such variety.
    """
    crops = crops_of(desk.store.farm())
    for key in varieties:
        if key not in crops:
            raise NotFound(kind=_("variety"), key=key)
    chosen = [crops[key] for key in varieties] or list(crops.values())
    return SeenWarnings(
        place, general_words(place), warnings_at(place, chosen), handling_notes(chosen), weed_notes(chosen)
    )
