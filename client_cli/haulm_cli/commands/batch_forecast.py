"""`haulm batch-forecast BATCH`: what one batch will give, and three seasons that could happen."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_DOUBT = (Column("what is not known comes from"), Column("share", right=True))


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("batch", metavar="BATCH", help="the key of a batch")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.batch_forecast(asked.batch)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    lines = [screen.paragraph(text(body, "sentence"))]
    typical = items(body, "typical")
    if typical:
        columns = (Column("week"), *(Column(text(one, "name"), right=True) for one in typical))
        lines += ["", *table(columns, _weeks(typical), screen)]
    doubt = [[text(one, "part"), percent(one.get("share"))] for one in items(body, "doubt")]
    if doubt:
        lines += ["", *table(_DOUBT, doubt, screen)]
    return lines


def _weeks(typical: list[Fields]) -> list[list[str]]:
    """The weeks in which some of the seasons has stems, with the stems of each."""
    counts = [{text(week, "week"): text(week, "stems") for week in items(one, "weeks")} for one in typical]
    return [
        [week, *(count.get(week, "0") for count in counts)]
        for week in sorted({week for count in counts for week in count})
    ]


COMMAND = Command("batch-forecast", "what one batch will give", _add_arguments, _ask, _show)
