"""`haulm take-back ENTRY`: take back what an entry of the journal wrote; `--undo` puts it back."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("entry", type=some, metavar="ENTRY", help="its number, as 'haulm journal' shows it")
    parser.add_argument("--undo", action="store_true", help="put back what was taken back")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.take_back(asked.entry, "put-back" if asked.undo else "take-back")


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    done = "put back" if asked.undo else "taken back; 'haulm take-back --undo' puts it back"
    letters = "" if text(body, "letters") == "0" else f" Letters that correct others: {text(body, 'letters')}."
    return [screen.paragraph(f"Entry {asked.entry} is {done}.{letters}")]


COMMAND = Command("take-back", "take back what an entry of the journal wrote", _add_arguments, _ask, _show)
