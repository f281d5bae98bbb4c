"""`haulm digest`: the early warning as text."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, plain
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    """The digest takes no argument of its own."""


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.digest()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    letter = body.get("text")
    return [plain(line) for line in letter.splitlines()] if isinstance(letter, str) and letter else [MISSING]


COMMAND = Command("digest", "the early warning as text", _add_arguments, _ask, _show)
