"""`haulm fill-rate`: how well customers were served, by bucket day."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("bucket day"),
    Column("customer"),
    Column("asked", right=True),
    Column("sent", right=True),
    Column("instead", right=True),
    Column("share", right=True),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--customer", metavar="KEY", help="one customer (default: all)")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.fill_rate({} if asked.customer is None else {"customer": asked.customer})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    days = items(body, "days")
    return table(_COLUMNS, [_row(day) for day in days], screen) if days else ["No bucket list was confirmed yet."]


def _row(day: Fields) -> list[str]:
    return [*(text(day, name) for name in ("date", "customer", "asked", "sent", "instead")), percent(day.get("share"))]


COMMAND = Command("fill-rate", "how well customers were served", _add_arguments, _ask, _show)
