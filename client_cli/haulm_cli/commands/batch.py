"""`haulm batch VARIETY`: add a batch to the plan."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import iso_date, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply

METHODS = ("heated", "cover", "direct", "plugs", "tuber", "established")
_FACTS = ("variety", "sow_date", "method", "sown", "plants", "bed")


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("variety", metavar="VARIETY", help="the variety's key")
    parser.add_argument("--sow", dest="sow_date", type=iso_date, required=True, metavar="DATE", help="day of sowing")
    parser.add_argument("--method", type=str.lower, choices=METHODS, required=True, help="how it is started")
    parser.add_argument("--sown", type=some, required=True, metavar="N", help="places sown (cells, pots, clumps)")
    parser.add_argument("--plants", type=some, metavar="N", help="places to plant out")
    parser.add_argument("--bed", metavar="KEY", help="where it will stand")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.batch({name: getattr(asked, name) for name in _FACTS if getattr(asked, name) is not None})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    said = {**{name: getattr(asked, name) for name in _FACTS}, **body}
    where = f", bed {text(said, 'bed')}" if said.get("bed") else ""
    plan = f"{text(said, 'variety')}, {text(said, 'sown')} places, {text(said, 'method')}, sow {text(said, 'sow_date')}"
    return [screen.paragraph(f"Batch {text(said, 'key', 'id')}: {plan}{where}.")]


COMMAND = Command("batch", "add a batch to the plan", _add_arguments, _ask, _show)
