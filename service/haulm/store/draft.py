"""A farm under change: one set of rules for the farm in memory and for the one rebuilt from entries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from haulm.errors import NotFound
from haulm.farm.edits import Row as Noun
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.store.errors import RowNotAccepted
from haulm.store.rows import COLLECTIONS, collection_of

_LINES = {"order_lines": "standing_lines", "standing_lines": "order_lines"}


@dataclass(frozen=True, slots=True)
class Start:
    """What a unit of work starts from: whose farm, who writes and when, and the farm at the version just locked."""

    farm_id: int
    actor: str
    now: datetime
    farm: Farm | None
    version: int


class Draft:
    """Starts from a farm (or from nothing) and gives the changed farm; untouched collections are shared, not copied."""

    def __init__(self, farm: Farm | None) -> None:
        self._farm = farm
        self._touched: dict[str, dict[str, Noun]] = {}
        self._dirty: set[str] = set()

    @property
    def farm(self) -> Farm | None:
        """The farm as it stands now; None before a site was written."""
        if self._farm is not None and self._dirty:
            changed: dict[str, Any] = {name: tuple(self._touched[name].values()) for name in self._dirty}
            self._farm = replace(self._farm, **changed)
            self._dirty.clear()
        return self._farm

    def found(self, collection: str, key: str) -> Noun | None:
        """The row with that key, if there is one."""
        return self._rows(collection).get(key)

    def write_site(self, site: Site) -> None:
        """Writes the site, and with it a farm where there was none."""
        self._farm = Farm(site) if self._farm is None else replace(self._farm, site=site)

    def put(self, noun: Noun) -> None:
        """Writes a row in its place, or a new one at the end.

        Raises:
            RowNotAccepted: keys of order lines and standing lines are unique together, and this is one of the other.
        """
        collection = collection_of(noun)
        key = collection.key(noun)
        other = _LINES.get(collection.name)
        if other is not None and key in self._rows(other):
            raise RowNotAccepted(reason=f"'{key}' is already the key of a line in {other}")
        self._rows(collection.name)[key] = noun
        self._dirty.add(collection.name)

    def remove(self, collection: str, key: str) -> None:
        """Takes a row out.

        Raises:
            NotFound: there is none with that key.
        """
        if self._rows(collection).pop(key, None) is None:
            raise NotFound(kind=collection, key=key)
        self._dirty.add(collection)

    def arrange(self, collection: str, keys: Iterable[str]) -> None:
        """Puts all rows of a collection into the order of their keys."""
        rows = self._rows(collection)
        self._touched[collection] = {key: rows[key] for key in keys}
        self._dirty.add(collection)

    def clear(self) -> None:
        """Takes every row out; the site stays until it is written."""
        self._touched = {name: {} for name in COLLECTIONS}
        self._dirty = set(COLLECTIONS)

    def _rows(self, collection: str) -> dict[str, Noun]:
        rows = self._touched.get(collection)
        if rows is None:
            key = COLLECTIONS[collection].key
            nouns: tuple[Noun, ...] = getattr(self._farm, collection) if self._farm is not None else ()
            rows = self._touched[collection] = {key(noun): noun for noun in nouns}
        return rows


def draft_of(farm: Farm) -> Draft:
    """A draft that holds a whole farm.

    Raises:
        RowNotAccepted: two rows have the same key.
    """
    draft = Draft(None)
    draft.write_site(farm.site)
    for name, collection in COLLECTIONS.items():
        nouns: tuple[Noun, ...] = getattr(farm, name)
        for noun in nouns:
            if draft.found(name, collection.key(noun)) is not None:
                raise RowNotAccepted(reason=f"two rows of {name} have the key '{collection.key(noun)}'")
            draft.put(noun)
    return draft
