"""`haulm contract QUOTE`: make a quote or a hold firm."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count
from haulm_cli.commands.command import Command
from haulm_cli.commands.promise import add_promise_arguments, promise_body, promise_lines
from haulm_cli.fields import Fields
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    add_promise_arguments(parser)
    parser.add_argument("--deposit", type=count, metavar="MINOR", help="a deposit that was paid, in minor units")


def _ask(service: Service, asked: Namespace) -> Reply:
    paid = {} if asked.deposit is None else {"deposit_minor": asked.deposit}
    return service.contract(asked.quote, {**promise_body(asked), **paid})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    return promise_lines(body, f"Quote {asked.quote} is contracted.", screen)


COMMAND = Command("contract", "make a quote firm", _add_arguments, _ask, _show)
