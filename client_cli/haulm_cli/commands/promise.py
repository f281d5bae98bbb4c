"""What holding and contracting a quote have in common: the override, and how the accepted promise is shown."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence

from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table

_COLUMNS = (Column("line"), Column("sure", right=True))
_FALLS = (
    Column("due"),
    Column("line"),
    Column("order"),
    Column("customer"),
    Column("sure now", right=True),
    Column("would be", right=True),
)


def add_promise_arguments(parser: ArgumentParser) -> None:
    """The quote, and the owner's override."""
    parser.add_argument("quote", metavar="QUOTE", help="a quote's id, as 'haulm quote' shows it")
    parser.add_argument(
        "--override", action="store_true", help="accept although somebody already promised becomes less sure"
    )


def promise_body(asked: Namespace) -> dict[str, object]:
    """The request's body; the override is sent only where it was asked for."""
    return {"override": True} if asked.override else {}


def promise_lines(body: Fields, done: str, screen: Screen) -> list[str]:
    """The promise as accepted, line by line and jointly, and who is less sure for it."""
    rows = [[text(line, "line"), percent(line.get("confidence"))] for line in items(body, "lines")]
    shown = ["", *table(_COLUMNS, rows, screen), ""] if rows else []
    displaced = falls_table(items(body, "displaced"), "Less sure than before, and still at their level:", screen)
    falls = falls_table(items(body, "falls"), "Now below the level they were promised:", screen)
    joint = f"All lines together: {percent(body.get('order_confidence'))} sure"
    return [screen.heading(done), *shown, joint, *displaced, *falls]


def falls_table(falls: Sequence[Fields], title: str, screen: Screen) -> list[str]:
    """Earlier lines that a promise makes less sure, under a title; nothing where there are none."""
    rows = [[*(text(fall, name) for name in ("due", "line", "order", "customer")), *_from_to(fall)] for fall in falls]
    return ["", screen.heading(title), *table(_FALLS, rows, screen)] if rows else []


def _from_to(fall: Fields) -> list[str]:
    return [percent(fall.get("from")), percent(fall.get("to"))]
