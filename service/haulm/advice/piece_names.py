"""The names of pieces: `Table jars` and `table_jar` are one piece, and people say `bouquet` for an attendant's."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

ALIASES: dict[str, tuple[str, ...]] = {
    "aisle end": ("chair end", "pew end", "aisle flower", "chair flower"),
    "arch": ("flower arch", "wedding arch"),
    "attendant bouquet": ("bouquet", "bridesmaid bouquet", "bridesmaids bouquet", "maid bouquet"),
    "bridal bouquet": ("bride bouquet", "brides bouquet", "wedding bouquet"),
    "buttonhole": ("boutonniere", "button hole", "lapel flower"),
    "corsage": ("wrist corsage", "pin corsage"),
    "flower crown": ("crown", "hair crown"),
    "large centre": ("urn", "large table centre", "large center", "pedestal"),
    "loose bucket": ("bucket", "mixed bucket", "bucket of mixed blooms", "loose stems", "diy bucket"),
    "low centre": ("table centre", "low table centre", "centrepiece", "centerpiece", "low center"),
    "small jar": ("bud jar", "bud vase", "jelly jar", "small vase"),
    "table jar": ("large jar", "jar", "litre jar", "table vase", "vase"),
}
"""Other names of a piece; all names of a row stand for one another (common practice)."""


def named_piece(asked: str, own: Iterable[str], starting: Iterable[str]) -> str | None:
    """The recipe that a word means, as it is written where it stands; None where there is none.

    The farm's own recipe goes before a starting one: by its name, then by another name of the same piece.
    """
    mine, ours = _by_plain_name(own), _by_plain_name(starting)
    for names in (mine, ours):
        for name in _same_piece(asked):
            if name in names:
                return names[name]
    return None


def plain_name(name: str) -> str:
    """A piece's name in small letters, with spaces for dashes, in the singular."""
    words = name.replace("_", " ").replace("-", " ").replace("'", "").casefold().split()
    return " ".join([*words[:-1], _singular(words[-1])]) if words else ""


def piece_meant(name: str) -> str:
    """One name for all names of a piece."""
    plain = plain_name(name)
    return next((first for first, others in ALIASES.items() if plain in (first, *others)), plain)


def _same_piece(asked: str) -> Iterator[str]:
    name = plain_name(asked)
    yield name
    for first, others in ALIASES.items():
        if name in (first, *others):
            yield from (first, *others)


def _by_plain_name(names: Iterable[str]) -> dict[str, str]:
    return {plain_name(name): name for name in reversed(list(names))}


def _singular(word: str) -> str:
    if word.endswith("ches"):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word
