"""`haulm bucket-list DATE`: what goes into which bucket; `--confirm` makes it the day's list."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from collections.abc import Sequence

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, iso_date
from haulm_cli.commands.command import Command
from haulm_cli.commands.list_prices import shown_prices
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
    parser.add_argument("--confirm", action="store_true", help="confirm the list as it stands, or as said beside it")
    parser.add_argument("--prices", action="store_true", help="what a confirmed list costs, with every credit")
    decided = parser.add_argument_group("what is decided (only with --confirm; each may be repeated)")
    decided.add_argument(
        "--send",
        dest="sent",
        action="append",
        type=_sent,
        default=[],
        metavar="LINE@DUE=N",
        help="a line gets fewer stems, or 0, e.g. anna-1@2027-08-10=20",
    )
    decided.add_argument(
        "--fill",
        dest="filled",
        action="append",
        type=_filled,
        default=[],
        metavar="LINE@DUE=PRODUCT",
        help="only this fills a line: its own product, or one it accepts instead",
    )
    decided.add_argument(
        "--evenly", action="append", default=[], metavar="PRODUCT", help="share it evenly, not by rank"
    )
    decided.add_argument(
        "--acknowledge", action="append", default=[], metavar="CUSTOMER", help="may be short a second time running"
    )
    parser.set_defaults(misused=parser.error)


def _sent(given: str) -> Fields:
    """A line, its due day and its stems such as `anna-1@2027-08-10=20`."""
    line, due, stems = _parted(given, "stems", "20")
    return {"line": line, "due": due, "stems": count(stems)}


def _filled(given: str) -> Fields:
    """A line, its due day and what fills it such as `anna-1@2027-08-10=nigella`."""
    line, due, product = _parted(given, "a product", "nigella")
    return {"line": line, "due": due, "product": product}


def _parted(given: str, what: str, example: str) -> tuple[str, str, str]:
    named, equals, value = given.rpartition("=")
    line, at, due = named.rpartition("@")
    if not (equals and at and line and value):
        accepted = f"accepted is one such as anna-1@2027-08-10={example}"
        raise ArgumentTypeError(f"'{given}' is no line with {what}; {accepted}")
    return line, iso_date(due), value


def _decided_lines(asked: Namespace) -> list[Fields]:
    """What is decided of each line, once a line."""
    found: dict[tuple[str, str], dict[str, object]] = {}
    for said in (*asked.sent, *asked.filled):
        found.setdefault((said["line"], said["due"]), {}).update(said)
    return list(found.values())


def _ask(service: Service, asked: Namespace) -> Reply:
    named = {"lines": _decided_lines(asked), "evenly": asked.evenly, "acknowledge": asked.acknowledge}
    decided = {name: value for name, value in named.items() if value}
    if decided and not asked.confirm:
        asked.misused("what is decided is written down with --confirm only")
    if asked.prices:
        if asked.confirm:
            asked.misused("prices are those of a list that is confirmed: ask for them afterwards")
        return service.bucket_list_prices(asked.date)
    if asked.confirm:
        return service.confirm_bucket_list(asked.date, decided)
    return service.bucket_list(asked.date)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if asked.prices:
        return shown_prices(body, asked.date, screen)
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
