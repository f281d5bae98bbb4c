"""`haulm match`: which stems meet which lines."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import iso_date
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, percent, sources, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("due"),
    Column("order", gives_way=2, said_by="line"),
    Column("line", gives_way=3),
    Column("product"),
    Column("stems", right=True),
    Column("filled", right=True),
    Column("sure", right=True),
    Column("from", gives_way=1),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--from", dest="start", type=iso_date, required=True, metavar="DATE", help="first due date")
    parser.add_argument("--to", dest="end", type=iso_date, required=True, metavar="DATE", help="last due date")
    parser.add_argument("--season", choices=["expected"], help="which season to match (default: the service's)")


def _ask(service: Service, asked: Namespace) -> Reply:
    season = {} if asked.season is None else {"season": asked.season}
    return service.match({"from": asked.start, "to": asked.end, **season})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    rows = [
        [
            *(text(line, name) for name in ("due", "order", "line")),
            text(line, "product", "choice"),
            *(text(line, name) for name in ("stems", "filled")),
            percent(line.get("confidence")),
            sources(line),
        ]
        for line in items(body, "lines")
    ]
    if not rows:
        return [f"No line is due from {asked.start} to {asked.end}."]
    return table(_COLUMNS, rows, screen)


COMMAND = Command("match", "which stems meet which lines", _add_arguments, _ask, _show)
