"""`haulm cut-list DATE`: what to cut on a cut day, how many, from which beds, and for whom."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import iso_date
from haulm_cli.commands.command import Command
from haulm_cli.commands.warned import care_lines, spray_lines
from haulm_cli.fields import MISSING, TOGETHER, Fields, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("bed"),
    Column("product"),
    Column("stems", right=True),
    Column("least cm", right=True),
    Column("stage"),
    Column("for", gives_way=1),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("date", type=iso_date, metavar="DATE", help="the cut day, e.g. 2027-08-09")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.cut_list(asked.date)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    rows = items(body, "rows")
    lines = [screen.heading(f"Cut list of {text(body, 'date')}"), ""]
    lines += table(_COLUMNS, [_row(row) for row in rows], screen) if rows else ["Nothing is to be cut for an order."]
    lines += map(screen.paragraph, (*spray_lines(body), *care_lines(body)))
    return lines


def _row(row: Fields) -> list[str]:
    length = text(row, "min_length_cm")
    return [
        ", ".join(text(bed, "bed") for bed in items(row, "beds")) or MISSING,
        text(row, "product"),
        _stems(row),
        MISSING if length == "0" else length,
        text(row, "stage"),
        ", ".join(_for_whom(one) for one in items(row, "for")) or MISSING,
    ]


def _for_whom(one: Fields) -> str:
    spare = ["spare"] if one.get("spare") is True else []
    return TOGETHER.join([_stems(one), *spare, text(one, "customer"), text(one, "due")])


def _stems(found: Fields) -> str:
    """As many as are sure, and up to how many are to be cut where they stand."""
    stems, up_to = text(found, "stems"), text(found, "up_to")
    return stems if stems == up_to else f"{stems} to {up_to}"


COMMAND = Command("cut-list", "what to cut on a cut day", _add_arguments, _ask, _show)
