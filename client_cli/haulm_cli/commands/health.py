"""`haulm health`: whether the service answers."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    """Health takes no argument of its own."""


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.health()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    status = f" It says: {text(body, 'status')}." if body.get("status") else ""
    return [f"The service answers.{status}"]


COMMAND = Command("health", "whether the service answers", _add_arguments, _ask, _show)
