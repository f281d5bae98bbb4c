"""What a line of a quote asks, in words."""

from __future__ import annotations

from collections.abc import Sequence

from haulm.farm.orders import OrderLine
from haulm.language.words import _


def wanted_words(line: OrderLine, role: str | None, colours: Sequence[str], names: dict[str, str]) -> str:
    """What a line asks: `accent in white or cream`, or the name of a kind."""
    if line.product is not None:
        dried = _(", dried") if line.product.form == "dried" else ""
        return f"{names.get(line.product.variety, line.product.variety)}{dried}"
    if role is None:
        return str(line.choice)
    return _("{role} in {colours}").format(role=role, colours=joined(colours)) if colours else role


def joined(words: Sequence[str], last: str | None = None) -> str:
    """Words with commas and one last word between: `or` unless another is said."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {_('or') if last is None else last} {words[-1]}"
