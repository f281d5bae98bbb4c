"""The crop library and how a farm's variety meets it: the farm's own figure, else the library's, else a default.

The library knows kinds, never cultivars; where a figure of its own is from memory it says so.
"""

from __future__ import annotations

from calendar import month_name
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, NamedTuple

from haulm.crop_library.costs import kind_costs
from haulm.crop_library.defaults import COLD_BY_DEFAULT, FOR_EVERY_KIND, STATED_BY_DEFAULT, default_for
from haulm.crop_library.library_crop import (
    FROM_MEMORY,
    LibraryCrop,
    botanical_names,
    citations,
    known_climates,
    library_crops,
    packaged_text,
    plain_name,
    reference_climates,
)
from haulm.crop_library.plants import (
    FoodBar,
    citations_of,
    food_bar,
    hazards_of,
    is_unknown,
    near_harm,
    open_question,
    plant_of,
)
from haulm.farm.costs import KindCosts
from haulm.farm.hazards import BY_THE_FARM, Hazard, caution_beyond, caution_with, hazard_words
from haulm.farm.stated import ColdNeed, ReferenceClimate, StatedFor
from haulm.farm.varieties import Crop, Variety, lengths_text, stages_text
from haulm.horticulture.nearest_climate import KnownClimate
from haulm.kept import answers

_CROPS_KEPT = 1024

FARM = "farm"
THE_FARMS_OWN = "the farm's own"

LOOKED_UP = (
    *("life_cycle", "role", "habit", "weeks_to_flower", "harvest_weeks", "stems_per_plant", "germination_pct"),
    *("germination_days", "seeds_per_place", "weeks_to_plant_out", "harden_days", "kill_c", "spacing_cm", "row_cm"),
    *("hold_days", "stand_days", "dry_days", "dried_keep_days", "bunch_stems", "food_use", "base_c"),
    *("soft_c", "hardened_c"),
)
"""Fields that the farm, the library or a default fills, as shown; the words that others follow stand first."""

FARM_ONLY = ("colour", "lengths", "stages", "price_minor", "dried_price_minor")

PLACED = ("stated_for", "cold", "heat_end_c")
"""What carries a figure from where it is stated to the farm."""

FOLLOWS: Mapping[str, str] = {
    "kill_c": "life_cycle",
    "soft_c": "life_cycle",
    "hardened_c": "life_cycle",
    "stand_days": "habit",
    "harvest_weeks": "habit",
    "stems_per_plant": "habit",
}
"""A library figure stands only while the farm does not change the word it follows."""

NOT_KNOWN = "plant not known for certain; until it is, treat it as harmful"
"""Said where somebody acts of a kind that nobody knows: no warning is no sign of harmlessness."""

THE_REGISTER = "hazard register"


class Explained(NamedTuple):
    """One value of a crop as text, where it comes from, and the citation or rule behind it."""

    field: str
    value: str
    origin: str
    citation: str


class _Found(NamedTuple):
    value: Any
    origin: str
    citation: str


@cache
def library() -> Mapping[str, LibraryCrop]:
    """Every kind in the library by key, read once from the package's own tables; read-only.

    Raises:
        AssertionError: the tables contradict themselves.
    """
    found = library_crops(packaged_text("crops.csv"), packaged_text("provenance.csv"))
    cited = {i for crop in found.values() for sourced in crop.sources.values() for i in sourced.ids}
    assert cited == set(source_citations()), f"sources: cited and listed differ by {cited ^ set(source_citations())}"
    names = [name for crop in found.values() for name in botanical_names(crop)]
    assert len(names) == len(set(names)), "crops: two kinds share a botanical name"
    return MappingProxyType(found)


@cache
def source_citations() -> Mapping[str, str]:
    """The citation of every published source, by source id; read-only."""
    return MappingProxyType(citations(packaged_text("sources.csv")))


def library_crop_for(variety: Variety) -> LibraryCrop | None:
    """The kind a variety belongs to, or None.

    Its key is the library's key; else it begins with the library's key followed by '-', '_' or '.' (the longest such
    key); else its botanical name is one of the kind's, in whatever case.
    """
    kinds = library()
    key = variety.key
    for end in (len(key), *(at for at in reversed(range(len(key))) if key[at] in "-_.")):
        if key[:end] in kinds:
            return kinds[key[:end]]
    botanical_name = plain_name(variety.botanical_name or "")
    return next((kind for kind in kinds.values() if botanical_name in botanical_names(kind)), None)


@answers(_CROPS_KEPT)
def crop_for(variety: Variety) -> Crop:
    """The crop of a variety: every value filled in, in the units of `Crop`, and the origin of each.

    Origins are `farm`, source ids, `common practice`, `from memory` or `hazard register`; a value partly from memory is
    from memory. A crop is for food where the farm says so and nothing bars it.
    """
    found = _found(variety)
    values = {field: found[field].value for field in LOOKED_UP if field != "germination_pct"}
    caution, hazards = found.get("caution"), found.get("hazards")
    own = {field: getattr(variety, field) for field in FARM_ONLY}
    origin = {field: item.origin for field, item in found.items()}
    origin["germination_share"] = origin.pop("germination_pct")
    kind = library_crop_for(variety)
    return Crop(
        key=variety.key,
        name=variety.name,
        germination_share=found["germination_pct"].value / 100,
        caution=caution.value if caution else None,
        hazards=hazards.value if hazards else (),
        own_words=_own_words(variety, kind),
        botanical_name=found["botanical_name"].value if "botanical_name" in found else None,
        weed_note=kind.weed_note if kind else None,
        handling=kind.handling if kind else None,
        origin=origin,
        counted_from=None if kind is None else kind.counted_from,
        kind=variety.kind or (variety.key if kind is None else kind.key),
        kind_name=_kind_name(variety, kind),
        library_kind=None if kind is None else kind.key,
        stems_range=_stems_range(found, kind),
        costs=KindCosts() if kind is None else kind_costs().get(kind.key, KindCosts()),
        **{field: found[field].value for field in PLACED if field in found},
        **own,
        **values,
    )


@cache
def climates() -> Mapping[str, ReferenceClimate]:
    """The climates for which the library's figures are stated, by key; read-only."""
    return MappingProxyType(reference_climates(packaged_text("climates.csv")))


@cache
def carried_climates() -> tuple[KnownClimate, ...]:
    """Every climate that is carried, north and south, to propose from; read-only."""
    return known_climates(packaged_text("climates.csv"))


def explain(variety: Variety) -> tuple[Explained, ...]:
    """Every value of a variety's crop in words: field, value, origin, and the citation or rule behind it.

    Fields are those of `Variety`, base_c, soft_c, hardened_c, and those of `PLACED`; a value that nobody gives (no
    colour, no price) is left out.
    """
    return tuple(
        Explained(field, _text(field, item.value), item.origin, item.citation)
        for field, item in _found(variety).items()
    )


def food_conflict(variety: Variety) -> FoodBar | None:
    """Why a variety is not for food although the farm says so; None where there is no conflict."""
    return food_bar(variety, library_crop_for(variety)) if variety.food_use else None


def question_about(variety: Variety) -> str | None:
    """What the farm should say of the plant that a variety is, in a sentence; None where there is nothing to ask."""
    return open_question(variety, library_crop_for(variety))


def _found(variety: Variety) -> dict[str, _Found]:
    kind = library_crop_for(variety)
    found = {"name": _Found(variety.name, FARM, THE_FARMS_OWN)}
    if (botanical := _given(variety, kind, "botanical_name")) is not None and botanical.value:
        found["botanical_name"] = botanical
    for field in LOOKED_UP:
        found[field] = _given(variety, kind, field) or _defaulted(field, found)
    found["hardened_c"] = _hardened(found)
    for field in FARM_ONLY:
        value = getattr(variety, field)
        if value not in (None, ()):
            found[field] = _Found(value, FARM, THE_FARMS_OWN)
    if (conflict := food_conflict(variety)) is not None:
        found["food_use"] = _Found(False, THE_REGISTER, f"{conflict.why}.")
    hazards = hazards_of(variety, kind)
    if hazards:
        found["hazards"] = _Found(hazards, _said_by(hazards), citations_of(hazards))
    caution = _caution_said(hazards, _caution(variety, kind), near_harm(variety, kind))
    if caution is not None:
        found["caution"] = caution
    return found | _place(found, kind) | _notes(kind)


def _place(found: Mapping[str, _Found], kind: LibraryCrop | None) -> dict[str, _Found]:
    """Where and when the weeks to flower are stated, and what the kind needs of winter and cannot bear of summer."""
    placed: dict[str, _Found] = {}
    life_cycle = found["life_cycle"].value
    usual = f"default by life cycle, {life_cycle}"
    if found["weeks_to_flower"].origin != FARM:
        if kind is not None:
            stated = StatedFor(climates()[kind.stated_in], kind.counted_from)
            placed["stated_for"] = _Found(stated, kind.sources["stated_in"].origin, _cited(kind, "stated_in"))
        else:
            climate, month_day = STATED_BY_DEFAULT[life_cycle]
            placed["stated_for"] = _Found(StatedFor(climates()[climate], month_day), FROM_MEMORY, usual)
    if kind is not None and kind.life_cycle is life_cycle:
        if kind.cold is not None:
            placed["cold"] = _Found(kind.cold, kind.sources["chill_days"].origin, _cited(kind, "chill_days"))
    elif life_cycle in COLD_BY_DEFAULT:
        placed["cold"] = _Found(COLD_BY_DEFAULT[life_cycle], FROM_MEMORY, usual)
    if kind is not None and kind.heat_end_c is not None:
        placed["heat_end_c"] = _Found(kind.heat_end_c, kind.sources["heat_end_c"].origin, _cited(kind, "heat_end_c"))
    return placed


def _hardened(found: Mapping[str, _Found]) -> _Found:
    """What a hardened plant stands: at least the cold that the farm says does not kill it."""
    own, usual = found["kill_c"], found["hardened_c"]
    return own if own.origin == FARM and own.value < usual.value else usual


def _kind_name(variety: Variety, kind: LibraryCrop | None) -> str:
    """The kind as people say it: by the library's name, else by the farm's own word, else the variety's name."""
    if variety.kind is None:
        return variety.name if kind is None else kind.name
    named = library().get(variety.kind)
    return variety.kind.replace("_", " ").replace("-", " ") if named is None else named.name


def _stems_range(found: Mapping[str, _Found], kind: LibraryCrop | None) -> tuple[float, float] | None:
    """The published range of the stems of a plant; None where it is not the kind's, its habit being another."""
    if kind is None or found["habit"].value is not kind.habit:
        return None
    return kind.stems_low, kind.stems_high


def _notes(kind: LibraryCrop | None) -> dict[str, _Found]:
    """What the library notes of a kind beside its hazards: where it spreads, how its stems are handled."""
    if kind is None:
        return {}
    said = {"weed_note": kind.weed_note, "handling": kind.handling}
    return {name: _Found(text, kind.sources[name].origin, _cited(kind, name)) for name, text in said.items() if text}


def _own_words(variety: Variety, kind: LibraryCrop | None) -> tuple[str, ...]:
    """What is said of harm beyond the register: clauses of the library's caution, doubt, the farm's caution whole."""
    known = plant_of(variety, kind).hazards
    librarys = caution_beyond(known, kind.caution or "") if kind else ()
    own = variety.caution or ""
    doubt = near_harm(variety, kind) or (NOT_KNOWN if is_unknown(variety, kind) else "")
    return (*(words for words in librarys if words not in own), *filter(None, (doubt, own)))


def _said_by(hazards: tuple[Hazard, ...]) -> str:
    is_farms = {hazard.sources == (BY_THE_FARM,) for hazard in hazards}
    return "; ".join(origin for farms, origin in ((False, THE_REGISTER), (True, FARM)) if farms in is_farms)


def _caution_said(hazards: tuple[Hazard, ...], own: _Found | None, doubt: str) -> _Found | None:
    """The caution of kind and farm with what the register knows beyond it, and what it fears of a misspelt name."""
    said = "" if own is None else own.value
    whole = "; ".join(filter(None, (doubt if doubt not in said else "", caution_with(hazards, said))))
    if whole == said:
        return own
    cited = (
        citations_of(tuple(hazard for hazard in hazards if hazard.sources != (BY_THE_FARM,))) or "a name spelt alike"
    )
    if own is None:
        return _Found(whole, THE_REGISTER, cited)
    return _Found(whole, f"{own.origin}; {THE_REGISTER}", f"{own.citation}; {cited}")


def _given(variety: Variety, kind: LibraryCrop | None, field: str) -> _Found | None:
    own = getattr(variety, field, None)
    if own is not None:
        return _Found(own, FARM, THE_FARMS_OWN)
    if kind is None or field not in kind.sources:
        return None
    word = FOLLOWS.get(field)
    farms_word = getattr(variety, word) if word else None
    if word and farms_word is not None and farms_word != getattr(kind, word):
        return None
    return _Found(getattr(kind, field), kind.sources[field].origin, _cited(kind, field))


def _defaulted(field: str, found: Mapping[str, _Found]) -> _Found:
    if field in FOR_EVERY_KIND:
        default = FOR_EVERY_KIND[field]
    else:
        default = default_for(field, found["life_cycle"].value, found["habit"].value)
    return _Found(default.value, default.origin, f"default {default.rule}")


def _caution(variety: Variety, kind: LibraryCrop | None) -> _Found | None:
    own = variety.caution or ""
    if kind is None or kind.caution is None:
        return _Found(own, FARM, THE_FARMS_OWN) if own else None
    origin, cited = kind.sources["caution"].origin, _cited(kind, "caution")
    if own in kind.caution:
        return _Found(kind.caution, origin, cited)
    both = own if kind.caution in own else f"{kind.caution}; {own}"
    return _Found(both, f"{origin}; {FARM}", f"{cited}; {THE_FARMS_OWN}")


def _cited(kind: LibraryCrop, field: str) -> str:
    sourced = kind.sources[field]
    named = (f"{i}: {source_citations()[i]}" for i in sourced.ids)
    said = "" if sourced.source in sourced.ids else sourced.source
    return "; ".join(part for part in (said, sourced.note, *named) if part)


def _text(field: str, value: object) -> str:
    match value:
        case None:
            return "keeps"
        case StatedFor():
            return f"{value.climate.name}, from {_day_words(value.month_day)}"
        case ColdNeed():
            return f"{value.days:g} cold days, grows from {_day_words(value.grows_from)}"
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:g}"
        case tuple() if field == "hazards":
            return "; ".join(map(hazard_words, value))
        case tuple():
            return lengths_text(value) if field == "lengths" else stages_text(value)
        case _:
            return str(value)


def _day_words(month_day: tuple[int, int]) -> str:
    month, day = month_day
    return f"{day} {month_name[month]}"
