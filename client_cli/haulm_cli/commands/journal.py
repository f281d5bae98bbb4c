"""`haulm journal`: what was written, newest first, in words, and what of it can be taken back."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator

from haulm_cli.api import Service
from haulm_cli.commands.arguments import some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, strings, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--before", type=some, metavar="ENTRY", help="only what was written before this entry")
    parser.add_argument("--about", metavar="ROW", help="only the history of a row, such as batches/b12")
    parser.add_argument("--whole", action="store_true", help="also what the service noted for itself")


def _ask(service: Service, asked: Namespace) -> Reply:
    wanted = {"before": asked.before, "about": asked.about, "whole": "true" if asked.whole else None}
    return service.journal({name: str(value) for name, value in wanted.items() if value is not None})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    entries = items(body, "entries")
    if not entries:
        return [screen.paragraph("Nothing was written yet.")]
    lines = [screen.paragraph(line) for entry in entries for line in _lines(entry)]
    more = [screen.paragraph(f"Earlier: haulm journal --before {text(body, 'next')}")] if body.get("next") else []
    return lines + more


def _lines(entry: Fields) -> Iterator[str]:
    about = f", {text(entry, 'about')}" if entry.get("about") else ""
    back = " (taken back)" if entry.get("taken_back") else ""
    yield f"{text(entry, 'entry')}. {text(entry, 'at')[:16].replace('T', ' ')}, {text(entry, 'who')}: " + (
        f"{text(entry, 'what')}{about}{back}"
    )
    for row in strings(entry, "rows"):
        yield f"   {row}"
    if entry.get("why_not"):
        yield f"   Not taken back: {text(entry, 'why_not')}"


COMMAND = Command("journal", "what was written, and what can be taken back", _add_arguments, _ask, _show)
