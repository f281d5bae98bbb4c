"""`haulm claim`: what customers said was wrong, traced to the batches; with a line, one more claim."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, iso_date, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_FACTS = ("line", "due", "stems", "reason", "credit_minor")
_COLUMNS = (
    Column("on", gives_way=3),
    Column("customer"),
    Column("line", gives_way=2),
    Column("due"),
    Column("stems", right=True),
    Column("credit, minor units", right=True),
    Column("reason"),
    Column("batches", gives_way=1),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("line", nargs="?", metavar="LINE", help="the line of a confirmed list (else: every claim)")
    parser.add_argument("--due", type=iso_date, metavar="DATE", help="the day its stems left")
    parser.add_argument("--stems", type=some, metavar="N", help="how many stems it is about")
    parser.add_argument("--reason", metavar="TEXT", help="what was wrong")
    parser.add_argument(
        "--credit-minor", type=count, metavar="N", help="what is credited, in minor units (their price)"
    )


def _ask(service: Service, asked: Namespace) -> Reply:
    said = {name: getattr(asked, name) for name in _FACTS if getattr(asked, name) is not None}
    # What is missing of a claim is named by the service.
    return service.claim(said) if said else service.claims()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if "claims" not in body:
        return [screen.paragraph(f"Claim written down: {text(body, 'stems')} stems of {asked.line}, due {asked.due}.")]
    found = items(body, "claims")
    return table(_COLUMNS, [_row(claim) for claim in found], screen) if found else ["Nobody claimed anything."]


def _row(claim: Fields) -> list[str]:
    names = ("on", "customer", "line", "due", "stems", "credit_minor", "reason")
    return [*(text(claim, name) for name in names), ", ".join(strings(claim, "batches")) or MISSING]


COMMAND = Command("claim", "what was wrong with delivered stems", _add_arguments, _ask, _show)
