"""The form that shifts a sowing on the picture of its kind: what was typed, what it would change, the way on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import quote, urlencode

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.batches import Batch
from haulm.farm.words import BatchStatus
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.gaps.see_kind import SeenKind
from haulm.jobs.gaps.shift_sowing import ShiftAsked, Shifted, shift_sowing
from haulm.language.words import _, many
from haulm.pages.doing import Form, whole_number

SHIFTED_BY = ("sowing", "weeks", "size", "out")
"""What the address says of a sowing that is shifted."""
_OFFERED_WEEKS = 8
_BESIDE = {"weeks": "weeks", "places": "size", "size": "size"}


@dataclass(frozen=True, slots=True)
class ShiftView:
    """What the form shows.

    Attributes:
        batch: the sowing.
        typed: what was typed.
        shifted: the sowing as it is supposed; None where nothing is supposed, or it cannot be.
        faults: a sentence beside each field at fault.
    """

    batch: Batch
    typed: Form
    shifted: Shifted | None
    faults: Mapping[str, str]

    @property
    def can_move(self) -> bool:
        """Whether it is not begun yet, so that its day and its places are still open."""
        return self.batch.status is BatchStatus.PLANNED

    @property
    def weeks(self) -> list[tuple[str, str]]:
        """By how much it may be shifted, in words."""
        return [(str(weeks), _in_words(weeks)) for weeks in range(-_OFFERED_WEEKS, _OFFERED_WEEKS + 1)]

    @property
    def sooner(self) -> dict[str, str]:
        """One week earlier and one later than it is shifted now: what is tapped, by its words."""
        weeks = 0 if self.shifted is None else int(self.typed["weeks"] or 0)
        kept = {name: self.typed[name] for name in ("sowing", "size") if self.typed[name]}
        steps = ((weeks - 1, _("A week earlier")), (weeks + 1, _("A week later")))
        return {words: urlencode({**kept, "weeks": moved}) for moved, words in steps}

    @property
    def write(self) -> tuple[str, str] | None:
        """The page on which it is written, and what it is called; None where nothing would be."""
        if self.shifted is None:
            return None
        key = quote(self.batch.key, safe="")
        if self.shifted.batch.is_over:
            planned = (f"/farm/sowings/out/{key}", _("Take it out of the plan"))
            return planned if self.can_move else (f"/plan/{key}", _("Write down what happened to it"))
        changes = urlencode(self.shifted.changes)
        return (f"/farm/sowings/row/{key}?{changes}", _("Write it so")) if changes else None


def shift_view(desk: Desk, kind: SeenKind, asked: Mapping[str, str]) -> ShiftView | None:
    """The form of the sowing that the address names; None where it names none of the kind's."""
    batch = next((one.batch for one in kind.sowings if one.batch.key == asked.get("sowing")), None)
    if batch is None:
        return None
    typed = {name: asked.get(name, "") for name in SHIFTED_BY}
    if not any(typed[name] for name in ("weeks", "size", "out")):
        return ShiftView(batch, {**typed, "size": str(batch.places or "")}, None, {})
    try:
        return ShiftView(batch, typed, shift_sowing(desk, _asked(batch, typed)), {})
    except (NotAccepted, FolderRefused) as refusal:
        return ShiftView(batch, typed, None, _faults(refusal))


def _asked(batch: Batch, typed: Form) -> ShiftAsked:
    said = typed["weeks"].removeprefix("-")
    weeks = whole_number("weeks", said) if said else 0
    places = whole_number("size", typed["size"]) if typed["size"] else None
    earlier = typed["weeks"].startswith("-")
    return ShiftAsked(batch.key, -weeks if earlier else weeks, places, bool(typed["out"]))


def _faults(refusal: HaulmError) -> dict[str, str]:
    if isinstance(refusal, NotAccepted):
        return {_BESIDE.get(refusal.where, "sowing"): refusal.sentence}
    return {"sowing": refusal.sentence}


def _in_words(weeks: int) -> str:
    if weeks == 0:
        return _("as it is planned")
    if weeks < 0:
        return many("{count} week earlier", "{count} weeks earlier", -weeks)
    return many("{count} week later", "{count} weeks later", weeks)
