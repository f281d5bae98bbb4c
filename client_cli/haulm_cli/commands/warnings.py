"""`haulm warnings PLACE`: what the hazards of the farm's kinds ask for where somebody acts."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.commands.warned import care_lines
from haulm_cli.fields import Fields, strings, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply

PLACES = ("walk", "cut", "conditioning", "bench", "heated_bench", "bouquet", "table", "food_table", "home")


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("place", choices=PLACES, metavar="PLACE", help=f"where somebody acts: {', '.join(PLACES)}")
    parser.add_argument(
        "variety", nargs="*", metavar="KIND", help="kinds, e.g. larkspur; all that is grown unless said"
    )


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.warnings(asked.place, {"variety": asked.variety} if asked.variety else {})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    place = text(body, "place").replace("_", " ")
    said = [
        *care_lines(body),
        *strings(body, "general"),
        *(f"Where it spreads, {one}" for one in strings(body, "weeds")),
    ]
    lines = [screen.paragraph(line) for line in said] or ["Nothing is known of these kinds that matters here."]
    return [screen.heading(f"Take care: {place}"), "", *lines]


COMMAND = Command("warnings", "what to take care of where somebody acts", _add_arguments, _ask, _show)
