"""`haulm at-home`: the seed, plugs and tubers that are at home or ordered; with a kind, one more tick."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, day, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

WHAT = ("seed", "plugs", "tubers")
_STATES = {"at_home": "at home", "ordered": "ordered"}
_COLUMNS = (
    Column("variety"),
    Column("name", gives_way=1),
    Column("what"),
    Column("is"),
    Column("ticked on", gives_way=2),
    Column("holds until"),
    Column("holds"),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("variety", nargs="?", metavar="VARIETY", help="the variety's key (else: every tick)")
    parser.add_argument("what", nargs="?", type=str.lower, choices=WHAT, default="seed", help="what of it (seed)")
    state = parser.add_mutually_exclusive_group()
    state.add_argument("--ordered", dest="state", action="store_const", const="ordered", help="it is only ordered")
    state.add_argument("--none", dest="state", action="store_const", const="none", help="take the tick back")
    parser.set_defaults(state="at_home")


def _ask(service: Service, asked: Namespace) -> Reply:
    if asked.variety is None:
        return service.ticks()
    return service.tick({"variety": asked.variety, "what": asked.what, "state": asked.state})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if asked.variety is not None:
        return [screen.paragraph(text(body, "sentence"))]
    found = items(body, "ticks")
    return table(_COLUMNS, [_row(one) for one in found], screen) if found else ["Nothing is ticked."]


def _row(one: Fields) -> list[str]:
    state = _STATES.get(text(one, "state"), text(one, "state"))
    days = [day(one, "date"), day(one, "holds_until")]
    return [text(one, "variety"), text(one, "name"), text(one, "what"), state, *days, text(one, "holds")]


COMMAND = Command("at-home", "what seed, plugs and tubers are at home", _add_arguments, _ask, _show)
