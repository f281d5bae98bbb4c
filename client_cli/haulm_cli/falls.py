"""Earlier promises that another one makes less sure: the table that refusals and promises share."""

from __future__ import annotations

from collections.abc import Sequence

from haulm_cli.fields import Fields, percent_pair, text
from haulm_cli.tables import Column, Screen, table

_FALLS = (
    Column("due"),
    Column("line"),
    Column("order", gives_way=1, said_by="line"),
    Column("customer"),
    Column("sure now", right=True),
    Column("would be", right=True),
    Column("keeps", right=True),
)


def falls_table(falls: Sequence[Fields], title: str, screen: Screen) -> list[str]:
    """Earlier lines and deliveries that a promise makes less sure, under a title; nothing where there are none."""
    return ["", screen.heading(title), *table(_FALLS, [_row(fall) for fall in falls], screen)] if falls else []


def _row(fall: Fields) -> list[str]:
    line = text(fall, "line") if fall.get("line") else "all of it"
    _, keeps = percent_pair(fall.get("to"), fall.get("floor"))
    before, after = percent_pair(fall.get("from"), fall.get("to"))
    return [text(fall, "due"), line, text(fall, "order"), text(fall, "customer"), before, after, keeps]
