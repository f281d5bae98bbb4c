"""`haulm outlook`: how sure each order and class is as a whole, and what will be left over."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import add_confidence
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_ORDERS = (
    Column("due"),
    Column("order"),
    Column("customer", gives_way=1),
    Column("class"),
    Column("lines", right=True),
    Column("all sure", right=True),
    Column("missing", right=True),
)
_CLASSES = (Column("class"), Column("lines", right=True), Column("all sure", right=True), Column("missing", right=True))
_LEFT = (
    Column("week"),
    Column("product"),
    Column("poor", right=True),
    Column("middling", right=True),
    Column("good", right=True),
)


def _add_arguments(parser: ArgumentParser) -> None:
    add_confidence(parser)
    parser.add_argument("--all", action="store_true", help="also the orders that are sure enough")
    parser.add_argument("--left-over", action="store_true", help="also what is left over for the stall or for drying")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.outlook({} if asked.confidence is None else {"confidence": asked.confidence})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    classes = [_row(item, "class", "lines") + _sure(item, "confidence") for item in items(body, "classes")]
    orders = items(body, "orders")
    shown = orders if asked.all else [order for order in orders if not order.get("sure")]
    rows = [
        _row(order, "due", "order", "customer", "class", "lines") + _sure(order, "joint_confidence") for order in shown
    ]
    title = "Orders" if asked.all else f"Orders not sure as a whole, {text(body, 'levels')}"
    lines = [screen.heading("Classes, every line filled in one season"), "", *table(_CLASSES, classes, screen), ""]
    lines += [screen.heading(f"{title}: {len(shown)} of {len(orders)}"), ""]
    lines += [*table(_ORDERS, rows, screen), ""] if rows else []
    return lines + (_left_over(body, screen) if asked.left_over else [])


def _left_over(body: Fields, screen: Screen) -> list[str]:
    rows = [_row(item, "week", "product", "p10", "p50", "p90") for item in items(body, "left_over")]
    heading = screen.heading("Left over for the stall or for drying, in a poor, a middling and a good season")
    return [heading, "", *table(_LEFT, sorted(rows), screen)]


def _row(item: Fields, *names: str) -> list[str]:
    return [text(item, name) for name in names]


def _sure(item: Fields, name: str) -> list[str]:
    return [percent(item.get(name)), text(item, "expected_missing")]


COMMAND = Command("outlook", "how sure each order is as a whole, and what is left over", _add_arguments, _ask, _show)
