"""What holding and contracting a quote have in common: the override, and how the accepted promise is shown."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table

_COLUMNS = (Column("line"), Column("sure", right=True))


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
    """The promise as accepted, line by line and jointly."""
    rows = [[text(line, "line"), percent(line.get("confidence"))] for line in items(body, "lines")]
    shown = ["", *table(_COLUMNS, rows, screen), ""] if rows else []
    return [screen.heading(done), *shown, f"All lines together: {percent(body.get('order_confidence'))} sure"]
