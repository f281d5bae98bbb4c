"""`haulm why LINE --due DATE`: how sure a line is and why no surer; the stems that count for it, and who holds them."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator

from haulm_cli.api import Service
from haulm_cli.commands.arguments import iso_date
from haulm_cli.commands.command import Command
from haulm_cli.commands.doubts import doubt_of
from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (Column("stems", right=True), Column(""), Column("what"))


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("line", metavar="LINE", help="a line's key, as 'haulm match' shows it")
    parser.add_argument("--due", type=iso_date, required=True, metavar="DATE", help="the line's due date")
    parser.add_argument("--season", choices=["expected", "careful"], help="which season (default: the service's)")


def _ask(service: Service, asked: Namespace) -> Reply:
    season = {} if asked.season is None else {"season": asked.season}
    return service.why(asked.line, {"due": asked.due, **season})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    sure = f"Over all seasons it is {percent(body.get('confidence'))} sure"
    lines = [*doubt_of(body, screen), screen.paragraph(text(body, "sentence")), ""]
    for pool in items(body, "used_up"):
        lines += [screen.heading(_product(pool)), *table(_COLUMNS, list(_sum(pool)), screen), ""]
    lines += [f"Of {_product(part)} it takes no more than {text(part, 'stems')}." for part in items(body, "at_limit")]
    return [*lines, screen.paragraph(f"{sure} and lacks {text(body, 'expected_missing')} stems on average.")]


def _sum(pool: Fields) -> Iterator[list[str]]:
    """The sum as one would do it by hand: the lots, what others hold, what is left for the line."""
    for lot in items(pool, "lots"):
        cut = f", cut {text(lot, 'cut_date')}" if lot.get("cut_date") else ""
        yield [text(lot, "stems"), "", f"of {text(lot, 'ready_date')}{cut}"]
    yield [text(pool, "stems"), "=", "stems that count"]
    for held in items(pool, "held_by"):
        whose = f"{text(held, 'order')}, {text(held, 'customer')}, {text(held, 'class')}"
        yield [text(held, "stems"), "-", f"held by {text(held, 'line')} due {text(held, 'due')} ({whose})"]
    yield [text(pool, "could_have"), "=", "it could have"]


def _product(part: Fields) -> str:
    length = f" from {text(part, 'length_cm')} cm" if part.get("length_cm") else ""
    return f"{text(part, 'product')}{length}"


COMMAND = Command("why", "why a line is no surer, and who holds the stems", _add_arguments, _ask, _show)
