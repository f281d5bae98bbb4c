"""`haulm release QUOTE`: give a quote's stems back."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("quote", metavar="QUOTE", help="a quote's id, as 'haulm quote' shows it")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.release(asked.quote)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    return [f"Quote {asked.quote} is released; its stems are free again."]


COMMAND = Command("release", "give a quote's stems back", _add_arguments, _ask, _show)
