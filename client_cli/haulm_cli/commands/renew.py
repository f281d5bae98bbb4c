"""`haulm renew`: the standing orders of a season; with one of them, renew it for the next or let it end."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("order"),
    Column("customer", gives_way=1),
    Column("next season"),
    Column("lines", gives_way=2),
    Column("stands"),
)
_STANDING = {"open": "to decide", "renewed": "renewed", "let_end": "ends"}


def _stems(given: str) -> tuple[str, int]:
    """A line and its stems such as anna-1=12."""
    line, equals, count = given.rpartition("=")
    if not (equals and line and count.isascii() and count.isdigit() and len(count) < 8):
        raise ArgumentTypeError(f"'{given}' is not a line with its stems; accepted is one such as anna-1=12")
    return line, int(count)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("order", nargs="?", metavar="ORDER", help="the standing order (else: every one of the season)")
    parser.add_argument("--season", type=some, metavar="YEAR", help="the growing year to look at (default: this one)")
    parser.add_argument("--let-end", action="store_true", help="it is not renewed, and not asked about again")
    parser.add_argument(
        "--stems", type=_stems, action="append", default=[], metavar="LINE=N", help="other stems of a line; 0 drops it"
    )
    parser.add_argument("--override", metavar="WHY", help="renew it though an earlier promise would fall")


def _ask(service: Service, asked: Namespace) -> Reply:
    if asked.order is None:
        return service.renewals({} if asked.season is None else {"season": asked.season})
    if asked.let_end:
        return service.renew(asked.order, {"what": "let_end"})
    body: dict[str, object] = {"what": "renew", "stems": dict(asked.stems)}
    if asked.override is not None:
        body |= {"override": True, "override_reason": asked.override}
    return service.renew(asked.order, body)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if asked.order is not None:
        end = "ends with its last week" if text(body, "what") == "let_end" else "is renewed"
        return [screen.paragraph(f"{asked.order} {end}: {text(body, 'order')}.")]
    found = items(body, "orders")
    return table(_COLUMNS, [_row(one) for one in found], screen) if found else ["No standing order is of this season."]


def _row(one: Fields) -> list[str]:
    weeks = f"{text(one, 'first_week')} to {text(one, 'last_week')}"
    lines = ", ".join(f"{text(line, 'line')}={text(line, 'stems')}" for line in items(one, "lines"))
    return [text(one, "order"), text(one, "customer"), weeks, lines, _STANDING.get(text(one, "standing"), "")]


COMMAND = Command("renew", "standing orders renewed for the next season", _add_arguments, _ask, _show)
