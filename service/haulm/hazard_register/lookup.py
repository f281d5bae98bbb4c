"""What plant a farm's names mean, and the harm it does: known, one of several, or not known and never cleared."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from rapidfuzz import fuzz, process

from haulm.farm.hazards import Hazard, worst_first
from haulm.hazard_register.spelling import Words, outside_quotes, words_of, words_with_joins
from haulm.hazard_register.tables import Plant, register
from haulm.kept import answers
from haulm.language.words import marked

LEAST_LIKE = 78.0
"""How alike two spellings are [% of letters in the same order] before one is suggested for the other."""
_MOST_SUGGESTED = 3
_LONG_WORD, _MOST_WORDS = 5, 12
COLOURS = words_of(
    marked(
        "rose rosa pink lilac lila lilas lilla lavender violet violeta violette orange naranja "
        "peach plum apricot cherry raspberry lemon lime mint olive sage coral fuchsia fucsia "
        "mauve malva pastel"
    )
)
"""Colours that are plants as well: the plant is meant only where no other word of the name is one."""


class Suggestion(NamedTuple):
    """A name that is spelt much like the one asked, and the genera it means."""

    name: str
    genera: tuple[str, ...]

    def __str__(self) -> str:
        return self.name if self.genera == (self.name,) else f"{self.name} ({' or '.join(self.genera)})"


@dataclass(frozen=True, slots=True)
class Known:
    """A plant that the register knows.

    Attributes:
        genera: what the names mean, that of the botanical name first; several where names speak of several plants.
        hazards: the harm that any of them does, the worst first.
        is_edible: whether the flowers of all of them are commonly eaten.
        is_species_named: whether the botanical name says which species.
    """

    genera: tuple[str, ...]
    hazards: tuple[Hazard, ...]
    is_edible: bool
    is_species_named: bool


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """A name that means several plants: which genera, and until that is answered the harm that any of them does."""

    genera: tuple[str, ...]
    hazards: tuple[Hazard, ...]


@dataclass(frozen=True, slots=True)
class Unknown:
    """A plant that nobody knows: names spelt much alike, and the harm of whatever its other name means."""

    suggestions: tuple[Suggestion, ...]
    hazards: tuple[Hazard, ...] = ()


LookedUp = Known | Ambiguous | Unknown


class _Meaning(NamedTuple):
    """What one name within a text may mean; `is_latin` where it is a genus's own name and nothing else."""

    words: Words
    plants: frozenset[Plant]
    is_latin: bool = False


@answers(8192)
def looked_up(botanical_name: str | None, *called: str) -> LookedUp:
    """The plant that a botanical name and whatever else it is called mean.

    Names only add: what any of them means holds, so that a wrong botanical name clears nothing. Where a common name may
    be one of several plants and another name says which, it is that one.
    """
    botanical = _meanings(botanical_name or "", is_botanical=True)
    common = [meaning for text in called for meaning in _meanings(text)]
    said = {plant.genus for one in (*botanical, *common) if one.is_latin for plant in one.plants}
    sets = [_answered(one.plants, said) for one in (*botanical, *common)]
    plants = list(dict.fromkeys(plant for found in sets for plant in sorted(found, key=_by_name)))
    genera = tuple(dict.fromkeys(plant.genus for plant in plants))
    hazards = worst_first(hazard for plant in plants for hazard in _hazards_of(plant))
    is_botanical_strange = bool(words_of(botanical_name or "")) and not botanical
    if is_botanical_strange or not plants:
        asked = (botanical_name or "",) if is_botanical_strange else called
        return Unknown(suggested(asked), hazards)
    if any(len({plant.genus for plant in found}) > 1 for found in sets):
        return Ambiguous(tuple(sorted(genera)), hazards)
    named = len(words_of(outside_quotes(botanical_name or ""))) > 1
    return Known(genera, hazards, all(map(_is_edible, plants)), named)


def is_known_botanically(botanical_name: str) -> bool:
    """Whether the register knows what a botanical name means."""
    return bool(_meanings(botanical_name, is_botanical=True))


def suggested(names: Iterable[str]) -> tuple[Suggestion, ...]:
    """The register's names that are spelt most like any of these or a long word of one, the likest first."""
    spelt = _spellings()
    found: dict[str, float] = {}
    for text in names:
        words = words_of(outside_quotes(text))
        long_words = [word for word in sorted(words) if len(word) >= _LONG_WORD][:_MOST_WORDS]
        for asked in dict.fromkeys((" ".join(sorted(words)), *long_words)):
            alike = process.extract(asked, spelt.keys(), scorer=fuzz.ratio, score_cutoff=LEAST_LIKE, limit=9)
            for spelling, score, _ in alike:
                found[spelling] = max(score, found.get(spelling, 0.0))
    best = sorted(found, key=lambda spelling: (-found[spelling], spelling))[:_MOST_SUGGESTED]
    return tuple(spelt[spelling] for spelling in best)


def _meanings(text: str, *, is_botanical: bool = False) -> list[_Meaning]:
    """The names that stand in a text: outside its quotes, or within them where nothing outside is a plant."""
    return _found_in(outside_quotes(text), is_botanical) or _found_in(text, is_botanical)


def _found_in(text: str, is_botanical: bool) -> list[_Meaning]:
    words = words_with_joins(text)
    index = _index()
    hits = {named for word in words for named in index.get(word, ()) if named <= words}
    longest = [named for named in hits if not any(named < other for other in hits)]
    if any(not named <= COLOURS for named in longest):
        longest = [named for named in longest if not named <= COLOURS]
    return [_meaning(named, words, is_botanical) for named in sorted(longest, key=sorted)]


def _meaning(named: Words, words: Words, is_botanical: bool) -> _Meaning:
    genus = _genera().get(named)
    plants = set(_named().get(named, ()))
    if genus is not None:
        plants = {Plant(genus)} if is_botanical else {*(one for one in plants if one.genus != genus), Plant(genus)}
    is_latin = len({plant.genus for plant in plants}) == 1 and (is_botanical or genus is not None)
    return _Meaning(named, frozenset(_with_species(plant, words) for plant in plants), is_latin)


def _with_species(plant: Plant, words: Words) -> Plant:
    """A plant with the species that stand in the text, where its name tells none; a strange epithet tells none."""
    if plant.species:
        return plant
    known = register().epithets.get(plant.genus, frozenset())
    return Plant(plant.genus, frozenset(epithet for epithet in known if words_of(epithet) <= words))


def _answered(plants: frozenset[Plant], said: set[str]) -> frozenset[Plant]:
    kept = frozenset(plant for plant in plants if plant.genus in said)
    return kept or plants


def _hazards_of(plant: Plant) -> tuple[Hazard, ...]:
    """What harm a plant does; one of whose species nothing is said may be any of them."""
    return tuple(
        hazard
        for hazard in register().hazards[plant.genus]
        if not hazard.species or not plant.species or plant.species & set(hazard.species)
    )


def _is_edible(plant: Plant) -> bool:
    species = register().edible.get(plant.genus)
    return species is not None and (not species or (bool(plant.species) and plant.species <= species))


def _by_name(plant: Plant) -> tuple[str, list[str]]:
    return plant.genus, sorted(plant.species)


@cache
def _genera() -> Mapping[Words, str]:
    return MappingProxyType({words_of(genus): genus for genus in register().hazards})


@cache
def _named() -> Mapping[Words, tuple[Plant, ...]]:
    found: dict[Words, list[Plant]] = defaultdict(list)
    for name, plants in register().names.items():
        words = words_of(name)
        assert words, f"names: '{name}' has no word that tells a plant"
        found[words] += plants
    return MappingProxyType({words: tuple(plants) for words, plants in found.items()})


@cache
def _index() -> Mapping[str, tuple[Words, ...]]:
    """Names by one word of theirs: a name that stands in a text is found under it."""
    found: dict[str, list[Words]] = defaultdict(list)
    for words in dict.fromkeys((*_named(), *_genera())):
        found[min(words)].append(words)
    return MappingProxyType({word: tuple(names) for word, names in found.items()})


@cache
def _spellings() -> Mapping[str, Suggestion]:
    """Every name and genus as it is compared: its words in a fixed order."""
    found: dict[str, Suggestion] = {}
    for genus in register().hazards:
        found[" ".join(sorted(words_of(genus)))] = Suggestion(genus, (genus,))
    for name, plants in register().names.items():
        spelling = " ".join(sorted(words_of(name)))
        found.setdefault(spelling, Suggestion(name, tuple(sorted({plant.genus for plant in plants}))))
    return MappingProxyType(found)
