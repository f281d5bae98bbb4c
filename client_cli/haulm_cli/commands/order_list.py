"""`haulm order-list`: seed, plugs and tubers to order for a season, less what is left, with days."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, day, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("kind"),
    Column("what"),
    Column("planned", right=True, gives_way=2),
    Column("left", right=True, gives_way=1),
    Column("to order", right=True),
    Column("as sold", right=True),
    Column("order by"),
    Column("first sowing", gives_way=3),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--season", type=some, metavar="YEAR", help="the growing year (default: the coming one)")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.order_list({} if asked.season is None else {"season": asked.season})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    found = items(body, "rows")
    if not found:
        return ["Nothing is planned that would have to be ordered."]
    lines = [screen.heading(f"To order for {text(body, 'season')}, in places")]
    return [*lines, "", *table(_COLUMNS, [_row(one) for one in found], screen)]


def _row(one: Fields) -> list[str]:
    counts = [text(one, name) for name in ("places", "left", "to_order", "as_sold")]
    order_by = "at once: late" if one.get("late") else day(one, "order_by")
    return [text(one, "name"), text(one, "what"), *counts, order_by, day(one, "first")]


COMMAND = Command("order-list", "seed, plugs and tubers to order", _add_arguments, _ask, _show)
