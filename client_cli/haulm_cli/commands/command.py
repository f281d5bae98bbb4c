"""What a command is: its arguments, the question it asks the service, and how the answer is shown."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from dataclasses import dataclass

from haulm_cli.api import Service
from haulm_cli.fields import Fields
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


@dataclass(frozen=True, slots=True)
class Command:
    """A word after `haulm`; `show` gives lines of text and never calls the service."""

    name: str
    summary: str
    add_arguments: Callable[[ArgumentParser], None]
    ask: Callable[[Service, Namespace], Reply]
    show: Callable[[Fields, Namespace, Screen], list[str]]
