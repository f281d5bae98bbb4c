"""`haulm contract QUOTE`: make a quote or a hold firm."""

from __future__ import annotations

from argparse import Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.commands.promise import add_promise_arguments, promise_body, promise_lines
from haulm_cli.fields import Fields
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.contract(asked.quote, promise_body(asked))


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    return promise_lines(body, f"Quote {asked.quote} is contracted.", screen)


COMMAND = Command("contract", "make a quote firm", add_promise_arguments, _ask, _show)
