"""`haulm own-figures`: what finished seasons say of the farm's figures, to be taken over or refused."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("variety"),
    Column("figure"),
    Column("in use", right=True),
    Column("before", right=True, gives_way=3),
    Column("own", right=True),
    Column("seasons", right=True, gives_way=2),
    Column("offered", right=True),
    Column("likely", gives_way=1),
    Column("stands", gives_way=4),
)


def _figure(given: str) -> tuple[str, str]:
    """A variety and a figure such as lagurus/stems_per_plant."""
    variety, slash, figure = given.rpartition("/")
    if not (slash and variety and figure):
        raise ArgumentTypeError(f"'{given}' is not a figure; accepted is one such as lagurus/stems_per_plant")
    return variety, figure


def _add_arguments(parser: ArgumentParser) -> None:
    word = parser.add_mutually_exclusive_group()
    word.add_argument("--accept", type=_figure, metavar="VARIETY/FIGURE", help="take the offered figure over")
    word.add_argument("--refuse", type=_figure, metavar="VARIETY/FIGURE", help="leave the figure as it is")


def _ask(service: Service, asked: Namespace) -> Reply:
    for word in ("accept", "refuse"):
        chosen = getattr(asked, word)
        if chosen is not None:
            variety, figure = chosen
            return service.judge_figure(variety, figure, word)
    return service.own_figures()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    figures = items(body, "figures") if "figures" in body else [body]
    if not figures:
        return [
            screen.paragraph("No finished batch has a figure to teach yet: record first cuts, cuts and what is left.")
        ]
    return table(_COLUMNS, [_row(figure) for figure in figures], screen)


def _row(figure: Fields) -> list[str]:
    seasons = items(figure, "seasons")
    bounds = sum(1 for season in seasons if season.get("at_least"))
    count = f"{len(seasons)}" + (f" ({bounds} at least)" if bounds else "")
    low, high = text(figure, "low"), text(figure, "high")
    return [
        *(text(figure, name) for name in ("variety", "figure", "in_use", "before", "own")),
        count,
        text(figure, "offered"),
        MISSING if low == MISSING else f"{low} to {high}",
        text(figure, "standing"),
    ]


COMMAND = Command("own-figures", "what finished seasons say of the farm's figures", _add_arguments, _ask, _show)
