"""Kinds: what the varieties of a farm are cultivars of, by key and by name."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.crop_library.library import library, library_crop_for
from haulm.farm.varieties import Variety


def kind_of(variety: Variety) -> str:
    """The kind of a variety: the library's, else the variety is a kind of its own."""
    kind = library_crop_for(variety)
    return variety.key if kind is None else kind.key


def kind_names(varieties: Iterable[Variety]) -> dict[str, str]:
    """The names of the kinds that these varieties are of, by key; a kind of one's own goes by its variety's name."""
    return {key: library()[key].name if key in library() else row.name for row in varieties if (key := kind_of(row))}
