"""A plant's name as words: cultivars, capitals, accents, hyphens, apostrophes, plurals and order set aside."""

from __future__ import annotations

import re
import unicodedata

from haulm.kept import answers

Words = frozenset[str]

_QUOTES = "\"'`\u00b4\u00ab\u00bb\u2018\u2019\u201a\u201c\u201d\u201e\u2039\u203a"
_CULTIVAR = re.compile(rf"(?<![^\s(])[{_QUOTES}][^\n]+?[{_QUOTES}](?![^\s).,;:])")
"""From a quotation mark that begins a word to the next one that ends a word."""
_APOSTROPHES = re.compile("['`\u00b4\u2018\u2019\u02bc]")
_LETTERS = re.compile(r"[^\W\d_]+")
_SPELT_OUT = (("ae", "a"), ("oe", "o"), ("ue", "u"))
_LEFT_OUT = frozenset(
    "x sp spp cv var ssp subsp of the a an and in on or with der die das des dem den de la le les du el los las il lo"
    " do da di del della dei degli van het een und et y e en im am von vom zu l d".split()
)
"""Words that tell no plant from another."""


def outside_quotes(text: str) -> str:
    """A name without the cultivars in quotes; the whole of it where all of it stands in quotes."""
    bare = _CULTIVAR.sub(" ", text)
    return bare if words_of(bare) else text


@answers(65_536)
def words_of(text: str) -> Words:
    """The words of a name, folded, without those that tell nothing."""
    return frozenset(folded(word) for word in _split(text))


def words_with_joins(text: str) -> Words:
    """The words of a name, and any two of them written as one: `fox glove` is `foxglove`."""
    apart = _split(text)
    joined = (folded(a + b) for a in apart for b in apart if a != b) if len(apart) <= 12 else ()
    return frozenset((*map(folded, apart), *joined))


def folded(word: str) -> str:
    """A word without accents, with spelt-out umlauts as plain vowels, in the singular."""
    plain = word
    for letters, letter in _SPELT_OUT:
        plain = plain.replace(letters, letter)
    return _singular(plain)


def _split(text: str) -> list[str]:
    bare = unicodedata.normalize("NFKD", text.replace("\N{MULTIPLICATION SIGN}", " ").casefold())
    bare = "".join(char for char in bare if not unicodedata.combining(char))
    words = _LETTERS.findall(_APOSTROPHES.sub("", bare))
    return [word for word in words if word not in _LEFT_OUT]


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word
