"""`haulm what-if`: changes tried without saving them, before and after side by side."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from collections.abc import Iterator, Mapping

from haulm_cli.api import Service
from haulm_cli.commands.arguments import add_confidence
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, percents, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_SIDES = (Column("sure", right=True), Column("missing", right=True))
_LINES = (
    Column("due"),
    Column("order", gives_way=1, said_by="line"),
    Column("line", gives_way=2),
    Column("what"),
    Column("stems", right=True),
    *_SIDES,
)
_ORDERS = (Column("due"), Column("order"), Column("customer"), *_SIDES)
_GAPS = (Column("gap"), Column("what", gives_way=1), *_SIDES)


def _add_arguments(parser: ArgumentParser) -> None:
    wanted = parser.add_argument_group("what is supposed (one at least; each may be repeated)")
    wanted.add_argument(
        "--batch",
        dest="batches",
        action="append",
        nargs="+",
        type=_value,
        default=[],
        metavar="NAME=VALUE",
        help="one more batch by its columns, e.g. variety=lagurus sow_date=2027-04-05 method=heated sown=104",
    )
    wanted.add_argument("--pause", action="append", default=[], metavar="ORDER", help="a standing order pauses")
    wanted.add_argument("--frost-weeks-earlier", type=int, metavar="N", help="the killing frost comes N weeks earlier")
    wanted.add_argument(
        "--move", action="append", nargs=2, default=[], metavar=("ORDER", "DATE"), help="an order moves"
    )
    wanted.add_argument(
        "--change",
        dest="changed",
        action="append",
        nargs="+",
        type=_row_or_value,
        default=[],
        metavar=("COLLECTION/KEY", "NAME=VALUE"),
        help="a row changed, e.g. standing-lines/anna-1 stems=40",
    )
    add_confidence(parser)


def _value(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name:
        raise ArgumentTypeError(f"'{text}' is not accepted; accepted is a name and a value such as sown=104")
    return name, value


def _row_or_value(text: str) -> tuple[str, str]:
    """A row, under no name, or a name and a value."""
    return _value(text) if "=" in text else ("", text)


def _ask(service: Service, asked: Namespace) -> Reply:
    changes = list(_changes(asked))
    confidence = {} if asked.confidence is None else {"confidence": asked.confidence}
    return service.what_if({"changes": changes, **confidence})


def _changes(asked: Namespace) -> Iterator[Mapping[str, object]]:
    yield from ({"collection": "batches", "values": dict(batch)} for batch in asked.batches)
    yield from ({"pause": order} for order in asked.pause)
    if asked.frost_weeks_earlier is not None:
        yield {"frost_weeks_earlier": asked.frost_weeks_earlier}
    yield from ({"move": order, "to": day} for order, day in asked.move)
    for change in asked.changed:
        values = dict(change)
        collection, _, key = values.pop("", "").partition("/")
        yield {"collection": collection, "values": values, **({"key": key} if key else {})}


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    lines, orders, gaps = (items(body, name) for name in ("lines", "orders", "gaps"))
    shown = [screen.heading("Before -> after; nothing is saved"), ""]
    shown.append(f"{len(lines)} of {text(body, 'lines_in_all')} lines differ, and {len(orders)} orders as a whole.")
    over_full = body.get("over_full")
    shown += [str(sentence) for sentence in over_full] if isinstance(over_full, list) else []
    shown += [str(body["nothing"])] if body.get("nothing") else []
    line_rows = [_line(pair) for pair in lines]
    order_rows = [[_sides(pair, "due"), text(pair, "order"), text(pair, "customer"), *_sure(pair)] for pair in orders]
    gap_rows = [[text(pair, "gap"), text(pair, "product"), *_sure(pair, "confidence", "missing")] for pair in gaps]
    for title, columns, rows in (
        ("Lines", _LINES, line_rows),
        ("Orders", _ORDERS, order_rows),
        ("Gaps", _GAPS, gap_rows),
    ):
        shown += ["", screen.heading(title), *table(columns, rows, screen)] if rows else []
    return shown


def _line(pair: Fields) -> list[str]:
    what = text(pair, "product", "choice") + (" (spare)" if pair.get("spare") else "")
    return [
        _sides(pair, "due"),
        text(pair, "order"),
        text(pair, "line"),
        what,
        _sides(pair, "stems"),
        *_sure(pair, "confidence"),
    ]


def _sure(pair: Fields, name: str = "joint_confidence", missing: str = "expected_missing") -> list[str]:
    sure = percents(*(side.get(name) for side in _both(pair)))
    return [sure, " -> ".join(text(side, missing) for side in _both(pair))]


def _sides(pair: Fields, name: str) -> str:
    """The value on both sides, once where it is the same or stands on one side only."""
    found = dict.fromkeys(text(side, name) for side in _both(pair))
    told = [value for value in found if value != MISSING]
    return " -> ".join(told) or MISSING


def _both(pair: Fields) -> list[Fields]:
    sides = (pair.get("before"), pair.get("after"))
    return [side if isinstance(side, Mapping) else {} for side in sides]


COMMAND = Command("what-if", "changes tried without saving them, before and after", _add_arguments, _ask, _show)
