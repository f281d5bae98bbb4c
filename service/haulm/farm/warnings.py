"""What is to be said of hazards at a place: the worst first, each kind once, kinds with the same warning together."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from haulm.farm.batches import Batch
from haulm.farm.hazards import BY_THE_FARM, Hazard, Severity, hazard_words, worst_first
from haulm.farm.place_words import APART, APART_WORDS, DANGEROUS_PETS, DRY, GENERAL, MISSING_PARTS, WORDS, Place
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.words import BatchStatus, Form, HazardClass, Method, PlantPart
from haulm.language.words import _, marked

_RANKS = tuple(HazardClass)
_MARKS = {Severity.DANGEROUS: marked("DANGER"), Severity.HARMFUL: marked("CARE"), Severity.MILD: marked("MIND")}
assert set(_MARKS) == set(Severity), "every severity has its mark"


@dataclass(frozen=True, slots=True)
class Warned:
    """What is to be said of some kinds.

    Attributes:
        kinds: their names, in order.
        severity: how bad the worst of it is.
        sentences: the worst first: what it does, and what to do about it at the place.
    """

    kinds: tuple[str, ...]
    severity: Severity
    sentences: tuple[str, ...]

    def __post_init__(self) -> None:
        assert self.kinds, "a warning is of some kind"

    @property
    def mark(self) -> str:
        """How bad it is in one word: DANGER, CARE or MIND."""
        return _(_MARKS[self.severity])

    @property
    def tone(self) -> str:
        """The same for programs: danger, care or mind."""
        return _MARKS[self.severity].lower()

    @property
    def names(self) -> str:
        """The kinds in words."""
        *before, last = self.kinds
        return _("{first} and {last}").format(first=", ".join(before), last=last) if before else last

    @property
    def words(self) -> str:
        """All of it in one line without the names."""
        return " ".join(self.sentences)

    def __str__(self) -> str:
        """All of it in one line: `DANGER, Monkshood: Dangerously poisonous (all parts): gloves.`, say."""
        return f"{self.mark}, {self.names}: {self.words}"


def warnings_at(place: Place, crops: Iterable[Crop], dry: Container[str] = ()) -> tuple[Warned, ...]:
    """What is to be said of kinds at a place; nothing of a kind that does no harm there."""
    return warnings_where(((crop, (place,)) for crop in crops), dry)


def warnings_where(kinds: Iterable[tuple[Crop, Sequence[Place]]], dry: Container[str] = ()) -> tuple[Warned, ...]:
    """What is to be said of kinds that go to places of their own; nothing of a kind that does no harm in any.

    Every dangerous way of doing harm is said at every place; lesser ones where they matter. The farm's own words, and
    the library's beyond the hazards, are said everywhere. `dry` are the keys of kinds that stand in no water there.
    """
    found: dict[tuple[_Told, ...], set[str]] = {}
    for crop, places in kinds:
        told = tuple(_told(places, crop, is_dry=crop.key in dry))
        if told:
            found.setdefault(told, set()).add(crop.name)
    ordered = sorted(found, key=lambda told: (-max(one.severity for one in told), told[0].rank, sorted(found[told])))
    return tuple(
        Warned(tuple(sorted(found[told])), max(one.severity for one in told), tuple(one.sentence for one in told))
        for told in ordered
    )


def only_dried(products: Iterable[Product]) -> frozenset[str]:
    """The keys of the kinds of which all products are dried."""
    found = tuple(products)
    fresh = {product.variety for product in found if product.form is not Form.DRIED}
    return frozenset(product.variety for product in found) - fresh


def kinds_among(products: Iterable[Product], crops: Mapping[str, Crop]) -> tuple[Crop, ...]:
    """The kinds of products, each once; without those that are grown no more."""
    return tuple(crops[key] for key in dict.fromkeys(product.variety for product in products) if key in crops)


def general_words(place: Place) -> tuple[str, ...]:
    """What is to be said at a place whatever the kinds are."""
    return tuple(_(words) for words in GENERAL.get(place, ()))


def place_of(batch: Batch) -> Place:
    """Where a batch is worked at: on the bench until it is planted out, then where it is cut."""
    if batch.status not in (BatchStatus.PLANNED, BatchStatus.SOWN):
        return Place.CUT
    if batch.method is Method.HEATED:
        return Place.HEATED_BENCH
    return Place.CUT if batch.method is Method.ESTABLISHED else Place.BENCH


def handling_notes(crops: Iterable[Crop]) -> tuple[str, ...]:
    """How stems want to be handled: kinds with the same hint together, each once; no hazards."""
    return _together((crop.name, crop.handling) for crop in crops)


def weed_notes(crops: Iterable[Crop]) -> tuple[str, ...]:
    """Where kinds spread: kinds with the same note together, each once; no hazards."""
    return _together((crop.name, crop.weed_note) for crop in crops)


def _together(notes: Iterable[tuple[str, str | None]]) -> tuple[str, ...]:
    found: dict[str, set[str]] = {}
    for name, note in notes:
        if note:
            found.setdefault(note, set()).add(name)
    return tuple(sorted(f"{', '.join(sorted(names))}: {note}." for note, names in found.items()))


class _Told(NamedTuple):
    """A sentence about a kind; of two as bad the graver way of doing harm has the lower rank, own words the highest."""

    severity: Severity
    rank: int
    sentence: str


def _told(places: Sequence[Place], crop: Crop, *, is_dry: bool) -> Iterator[_Told]:
    """The sentences about one kind, the worst first; what to do is said once."""
    done: set[str] = set()
    ways: set[HazardClass] = set()
    for hazard in worst_first(hazard for hazard in crop.hazards if hazard.sources != (BY_THE_FARM,)):
        where = [place for place in places if _matters(place, hazard)]
        if hazard.hazard_class in ways or not where:
            continue
        ways.add(hazard.hazard_class)
        to_do = dict.fromkeys(clause for place in where for clause in _to_do(place, hazard))
        asked = [DRY.get(clause, clause) if is_dry else clause for clause in to_do]
        clauses = [clause for clause in asked if clause and clause not in done]
        done.update(clauses)
        yield _Told(hazard.severity, _RANKS.index(hazard.hazard_class), _sentence(hazard_words(hazard), clauses))
    for words in crop.own_words:
        yield _Told(Severity.HARMFUL, len(_RANKS), _sentence(words, []))


def _matters(place: Place, hazard: Hazard) -> bool:
    """Whether a hazard is met at a place and bad enough to be said there."""
    if hazard.severity is Severity.DANGEROUS:
        return True
    is_met = not hazard.parts or bool(frozenset(hazard.parts) - MISSING_PARTS[place] or PlantPart.ALL in hazard.parts)
    return is_met and hazard.severity >= WORDS[place][hazard.hazard_class].least


def _to_do(place: Place, hazard: Hazard) -> tuple[str, ...]:
    clauses = WORDS[place][hazard.hazard_class].clauses
    if hazard.hazard_class is HazardClass.PETS and hazard.severity is Severity.DANGEROUS and place in DANGEROUS_PETS:
        clauses = (DANGEROUS_PETS[place],)
    if place is Place.CONDITIONING and hazard.hazard_class is HazardClass.POISON and hazard.genus in APART:
        clauses = (*clauses, APART_WORDS)
    return clauses


def _sentence(what: str, clauses: list[str]) -> str:
    said = f"{what}: {'; '.join(_(clause) for clause in clauses)}" if clauses else what
    return f"{said[:1].upper()}{said[1:]}{'' if said.endswith(('.', '!')) else '.'}"
