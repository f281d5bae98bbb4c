"""Make the farm what a folder says: what that would take out is named first, and goes only by a word more."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from haulm.errors import HaulmError
from haulm.farm.snapshot import Farm
from haulm.farm_folder.reader import read_folder
from haulm.jobs.farm.row_words import Names, row_in_words
from haulm.language.words import _
from haulm.store.history import History
from haulm.store.rows import COLLECTIONS
from haulm.store.store import Store

_MOST_NAMED = 40


class WouldDiscard(HaulmError):
    """A folder does not hold rows that the farm has, and nobody said that these may go."""

    code = "would-discard"

    def __init__(self, *, rows: tuple[str, ...], more: int) -> None:
        rest = _(", and {more} more").format(more=more) if more else ""
        super().__init__(
            _(
                "The folder does not hold: {rows}{rest}. Nothing was written. Say --discard to take them "
                "out, or leave --replace away to keep them."
            ).format(rows="; ".join(rows), rest=rest),
            rows=list(rows),
            more=more,
        )


def check_discards(store: Store, folder: Path, *, may_discard: bool) -> tuple[str, ...]:
    """The rows that would be taken out by a folder, in words.

    Raises:
        FolderRefused: anything in the folder is not accepted.
        WouldDiscard: there are any, and nobody said that they may go.
    """
    farm = store.farm()
    gone = tuple(_gone(farm, read_folder(folder), Names(farm, History(store.entries()).gone)))
    if gone and not may_discard:
        raise WouldDiscard(rows=gone[:_MOST_NAMED], more=max(0, len(gone) - _MOST_NAMED))
    return gone


def _gone(farm: Farm, coming: Farm, names: Names) -> Iterator[str]:
    for name, collection in COLLECTIONS.items():
        kept = {collection.key(row) for row in getattr(coming, name)}
        for row in getattr(farm, name):
            if collection.key(row) not in kept:
                yield row_in_words(names, row)
