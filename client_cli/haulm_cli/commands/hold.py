"""`haulm hold QUOTE --until DATE`: keep a quote's stems for a customer until a day."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import iso_date
from haulm_cli.commands.command import Command
from haulm_cli.commands.promise import add_promise_arguments, promise_body, promise_lines
from haulm_cli.fields import Fields
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    add_promise_arguments(parser)
    parser.add_argument("--until", type=iso_date, required=True, metavar="DATE", help="last day the stems are kept")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.hold(asked.quote, {"until": asked.until, **promise_body(asked)})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    return promise_lines(body, f"Quote {asked.quote} is on hold until {asked.until}.", screen)


COMMAND = Command("hold", "keep a quote's stems until a day", _add_arguments, _ask, _show)
