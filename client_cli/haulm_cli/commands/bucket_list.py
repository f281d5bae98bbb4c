"""`haulm bucket-list DATE`: what goes into which bucket; `--confirm` makes it the day's list."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence

from haulm_cli.api import Service
from haulm_cli.commands.arguments import iso_date
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, number, plain, sources, strings, text
from haulm_cli.tables import Column, Layout, Screen
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("due", gives_way=3),
    Column("product"),
    Column("line", gives_way=2),
    Column("asked", right=True),
    Column("filled", right=True),
    Column("short", right=True),
    Column("bunches", right=True),
    Column("over", right=True),
    Column("from", gives_way=1),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("date", type=iso_date, metavar="DATE", help="the bucket day, e.g. 2027-08-09")
    parser.add_argument("--confirm", action="store_true", help="confirm the list as it stands")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.confirm_bucket_list(asked.date) if asked.confirm else service.bucket_list(asked.date)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    state = "confirmed" if body.get("confirmed") else "not confirmed yet"
    span = f"lines due {text(body, 'from')} to {text(body, 'to')}"
    lines = [screen.heading(f"Bucket list of {asked.date}, {span}: {state}"), ""]
    customers = items(body, "customers")
    if not customers:
        return [*lines, "No line is due in these days."]
    rows = [_row(line) for customer in customers for line in items(customer, "lines")]
    layout = Layout.fitting(_COLUMNS, rows, screen)
    for customer in customers:
        lines += [screen.heading(text(customer, "customer")), *_lines(items(customer, "lines"), layout), ""]
    return lines[:-1]


def _lines(due: Sequence[Fields], layout: Layout) -> list[str]:
    cautions = dict.fromkeys(
        f"Caution, {text(line, 'product', 'choice')}: {caution}" for line in due for caution in strings(line, "caution")
    )
    return [*layout.lines([_row(line) for line in due]), *(layout.screen.paragraph(caution) for caution in cautions)]


def _row(line: Fields) -> list[str]:
    return [
        text(line, "due"),
        text(line, "product", "choice"),
        *(text(line, name) for name in ("line", "asked", "filled")),
        _short(line),
        *(text(line, name) for name in ("bunches", "over")),
        sources(line),
    ]


def _short(line: Fields) -> str:
    asked, filled = number(line, "asked"), number(line, "filled")
    if asked is None or filled is None or filled >= asked:
        return MISSING
    return plain(asked - filled)


COMMAND = Command("bucket-list", "what goes into which bucket", _add_arguments, _ask, _show)
