"""Keys that nobody types: made from what somebody wrote, or from what it is, and never taken yet."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from haulm.farm.snapshot import Farm

_LONGEST = 40
_NO_KEY = re.compile(r"[^a-z0-9]+")
_NAMED_BY: Mapping[str, tuple[str, ...]] = {
    "varieties": ("name",),
    "beds": ("name",),
    "batches": ("variety", "sow_date"),
    "customers": ("kind",),
    "standing_orders": ("customer", "weekday"),
    "standing_lines": ("order",),
    "changes": ("order", "week"),
    "orders": ("kind", "due_date"),
    "order_lines": ("order",),
    "known_stems": ("product", "ready_date"),
    "sprays": ("bed", "date"),
}
"""The columns a key is made from. A customer's name is none of them: it can be forgotten, a key can't."""
_LINES = ("standing_lines", "order_lines")


def new_key(farm: Farm, collection: str, values: Mapping[str, object], *, within: str | None = None) -> str:
    """A key for a new row that says what the row is and that no other has.

    Args:
        farm: the farm it comes to.
        collection: a collection whose rows have keys.
        values: its values by column, as far as they are given.
        within: a word the key begins with, such as the kind of the library that a variety is of.
    """
    said = [str(values.get(name) or "") for name in _NAMED_BY.get(collection, ())]
    words = _plain(" ".join(said))
    if within is not None:
        start = within if not words or words == _plain(within) else f"{within}-{words}"
    else:
        start = words or collection.rstrip("s").replace("_", "-")
    return _free(start[:_LONGEST].rstrip("-_."), _taken(farm, collection), always=collection in (*_LINES, "customers"))


def _free(start: str, taken: set[str], *, always: bool) -> str:
    """The first of `start`, `start-2`, ... that is free; with a number from the first on where there are many."""
    if not always and start not in taken:
        return start
    number = 1 if always else 2
    while f"{start}-{number}" in taken:
        number += 1
    return f"{start}-{number}"


def _taken(farm: Farm, collection: str) -> set[str]:
    both = _LINES if collection in _LINES else (collection,)
    return {row.key for name in both for row in getattr(farm, name)}


def _plain(text: str) -> str:
    """Small letters and digits joined by hyphens; letters with marks lose them."""
    decomposed = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    return _NO_KEY.sub("-", decomposed.encode("ascii", "ignore").decode().lower()).strip("-")
