"""How the seasons treat what is asked, and why it is no surer, as answers carry both."""

from __future__ import annotations

from collections.abc import Mapping

from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table

_COLUMNS = (Column("share", right=True), Column("cause"))
_WHY = "Why it is no surer, in shares of the seasons in which it is short:"


def doubt_of(body: Fields, screen: Screen) -> list[str]:
    """The sentence of its seasons of ten and a table of the causes, each with an empty line behind it."""
    faces = body.get("faces")
    lines = [screen.paragraph(text(faces, "sentence")), ""] if isinstance(faces, Mapping) else []
    rows = [[percent(cause.get("share")), text(cause, "sentence")] for cause in items(body, "causes")]
    return [*lines, screen.paragraph(_WHY), *table(_COLUMNS, rows, screen), ""] if rows else lines
