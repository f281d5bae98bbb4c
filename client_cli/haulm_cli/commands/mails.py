"""`haulm mails`: mail on its way, and how far it has come; `--again` tries one anew."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("no.", right=True),
    Column("letter"),
    Column("to"),
    Column("state"),
    Column("tries", right=True),
    Column("sent again", right=True),
    Column("last answer", gives_way=1),
)
_FARM = "the farm"


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--again", type=some, metavar="N", help="try a letter anew that bounced or was given up")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.outbox() if asked.again is None else service.send_again(asked.again)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if asked.again is not None:
        return [screen.paragraph(f"Letter {text(body, 'number')} waits to be tried anew.")]
    letters = items(body, "letters")
    if not letters:
        return [screen.paragraph("No letter has been written yet.")]
    return table(_COLUMNS, [_row(letter) for letter in letters], screen)


def _row(letter: Fields) -> list[str]:
    to = text(letter, "customer") if letter.get("customer") else _FARM
    answer = text(letter, "answer") if letter.get("answer") else ""
    said = [text(letter, name).replace("_", " ") for name in ("kind", "state")]
    return [text(letter, "number"), said[0], to, said[1], text(letter, "tries"), text(letter, "repeats"), answer]


COMMAND = Command("mails", "mail on its way, and how far it has come", _add_arguments, _ask, _show)
