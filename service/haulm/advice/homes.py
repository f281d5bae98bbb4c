"""Which kinds can hurt those who live in the home that flowers go to, the worst first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from haulm.farm.hazards import Hazard, Severity, gravity, hazard_words, worst_first
from haulm.farm.varieties import Crop
from haulm.farm.words import HazardClass, Home
from haulm.language.words import _, marked

HOME_WORDS: Mapping[Home, str] = {
    Home.CATS: marked("cats"),
    Home.DOGS: marked("dogs"),
    Home.CHILDREN: marked("small children"),
}

_PETS = frozenset({HazardClass.PETS, HazardClass.POISON, HazardClass.AWN})
_HURTS: Mapping[Home, frozenset[HazardClass]] = {
    Home.CATS: _PETS,
    Home.DOGS: _PETS,
    Home.CHILDREN: frozenset({HazardClass.POISON, HazardClass.FOOD_CONFUSION, HazardClass.AWN}),
}
"""Ways of doing harm that reach who chews leaves, licks pollen or picks seeds. What is poisonous to people is taken to
be no better for animals (common practice)."""


def home_warnings(homes: Iterable[Home], crops: Iterable[Crop]) -> tuple[str, ...]:
    """A line for each kind that can hurt somebody at home, the worst first, each way once; none where nobody is named.

    Args:
        homes: who lives there.
        crops: the kinds that may come.
    """
    at_home = tuple(dict.fromkeys(homes))
    found: dict[str, tuple[tuple[int, int], str]] = {}
    for crop in crops:
        hazards = worst_first(one for one in crop.hazards if any(one.hazard_class in _HURTS[home] for home in at_home))
        if hazards:
            line = gravity(hazards), _line(crop.name, hazards, at_home)
            found[crop.name] = min(line, found.get(crop.name, line))
    return tuple(line for _rank, _name, line in sorted((rank, name, line) for name, (rank, line) in found.items()))


def homes_in_words(homes: Iterable[Home]) -> str:
    """Who lives there: `cats and small children`, `nobody named`."""
    words = [_(HOME_WORDS[home]) for home in homes]
    if len(words) < 2:
        return "".join(words) or _("nobody named")
    return _("{first} and {last}").format(first=", ".join(words[:-1]), last=words[-1])


def _line(name: str, hazards: tuple[Hazard, ...], homes: tuple[Home, ...]) -> str:
    """Such as `Lily: can kill pets (all parts). Keep it from cats and dogs.`, then what the register notes."""
    worst: dict[HazardClass, Hazard] = {}
    for hazard in hazards:
        worst.setdefault(hazard.hazard_class, hazard)
    hurt = [home for home in homes if any(one in _HURTS[home] for one in worst)]
    said = [
        f"{name}: {', '.join(hazard_words(one) for one in worst.values())}.",
        _("Keep it from {homes}.").format(homes=homes_in_words(hurt)),
    ]
    notes = dict.fromkeys(one.note for one in worst.values() if one.note and one.severity > Severity.MILD)
    return " ".join([*said, *(note if note.endswith(".") else f"{note}." for note in notes)])
