"""`haulm replies`: what florists answered and nobody has judged yet."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("reply", right=True),
    Column("customer"),
    Column("week"),
    Column("late", gives_way=2),
    Column("asks"),
    Column("note", gives_way=1),
)


def _add_arguments(parser: ArgumentParser) -> None:
    """The list takes no argument of its own."""


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.replies()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    waiting = items(body, "replies")
    if not waiting:
        return [screen.paragraph("No answer waits for you.")]
    return table(_COLUMNS, [_row(reply) for reply in waiting], screen)


def _row(reply: Fields) -> list[str]:
    late = "late" if reply.get("late") is True else ""
    note = text(reply, "note") if reply.get("note") else ""
    return [
        text(reply, "id"),
        text(reply, "customer"),
        text(reply, "week"),
        late,
        "; ".join(strings(reply, "asks")),
        note,
    ]


COMMAND = Command("replies", "what florists answered and nobody has judged yet", _add_arguments, _ask, _show)
