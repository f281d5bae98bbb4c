"""`haulm options GAP`: what can still close a gap, what it would change, what it costs, until when."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.commands.doubts import doubt_of
from haulm_cli.fields import Fields, items, money, percents, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("decide by"),
    Column("option"),
    Column("sure", right=True),
    Column("missing", right=True),
    Column("cost", right=True, gives_way=1),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("gap", metavar="GAP", help="a gap's key, as 'haulm shortfalls' shows it")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.options(asked.gap)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    options = items(body, "options")
    if not options and body.get("pending"):
        return [screen.paragraph(f"What can close the gap {asked.gap} is still being worked out: ask again soon.")]
    if not options:
        return [screen.paragraph(f"Nothing is left that could close the gap {asked.gap}: tell the customers in time.")]
    rows = [
        [
            text(option, "act_by", "decide_by"),
            text(option, "kind"),
            percents(option.get("confidence_before"), option.get("confidence_after")),
            f"{text(option, 'missing_before')} -> {text(option, 'missing_after')}",
            money(option.get("cost_minor"), option.get("currency") or body.get("currency")),
        ]
        for option in options
    ]
    heading = screen.heading(f"Options for the gap {asked.gap}, before -> after")
    stale = (
        [screen.paragraph("Something has changed since: they are being worked out anew.")]
        if body.get("pending")
        else []
    )
    return [
        heading,
        *stale,
        "",
        *doubt_of(body, screen),
        *table(_COLUMNS, rows, screen, [text(option, "sentence") for option in options]),
    ]


COMMAND = Command("options", "what can still close a gap", _add_arguments, _ask, _show)
