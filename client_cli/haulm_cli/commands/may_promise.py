"""`haulm may-promise WHAT --due DATE`: the most stems that can be promised on the spot, and who loses at one more."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import add_confidence, iso_date
from haulm_cli.commands.command import Command
from haulm_cli.falls import falls_table
from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply

_KINDS = ("wedding", "one_off", "stall")


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument(
        "what", metavar="WHAT", help="a product or a choice, e.g. lagurus or 'role=filler colour=white'"
    )
    parser.add_argument("--due", type=iso_date, required=True, metavar="DATE", help="the day the stems leave")
    parser.add_argument("--kind", choices=_KINDS, help="what the order is for (default: one_off)")
    parser.add_argument("--customer", metavar="KEY", help="who it is for")
    add_confidence(parser)


def _ask(service: Service, asked: Namespace) -> Reply:
    named = {name: getattr(asked, name) for name in ("due", "kind", "customer", "confidence")}
    body = {name: value for name, value in named.items() if value is not None}
    return service.may_promise({"choice" if "=" in asked.what else "product": asked.what, **body})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    lines = [screen.paragraph(text(body, "sentence"))]
    if body.get("confidence") is not None:
        lines.append(f"These would be {percent(body.get('confidence'))} sure.")
    displaced = falls_table(items(body, "displaced"), "Less sure than now, and still at their floor:", screen)
    falls = falls_table(items(body, "at_more_would_fall"), "With one stem more, below what they keep:", screen)
    return [*lines, *displaced, *falls]


COMMAND = Command("may-promise", "the most stems that can be promised for a day", _add_arguments, _ask, _show)
