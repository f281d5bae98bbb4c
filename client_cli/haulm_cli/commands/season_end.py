"""`haulm season-end`: a year looked back on, by batch and by customer."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import some
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_BATCHES = (
    Column("batch"),
    Column("variety", gives_way=1),
    Column("cut", right=True),
    Column("a metre", right=True),
    Column("waste", right=True),
    Column("sold", right=True),
    Column("sold of cut", right=True),
)
_CUSTOMERS = (Column("customer"), Column("asked", right=True), Column("sent", right=True))


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--year", type=some, metavar="YEAR", help="the year (default: this one)")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.season_end({} if asked.year is None else {"year": asked.year})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    lines = [screen.heading(f"The year {text(body, 'year')}, in stems")]
    batches, customers = items(body, "batches"), items(body, "customers")
    if not (batches or customers):
        return [*lines, "", "Nothing was cut, and no list was confirmed."]
    if batches:
        lines += ["", *table(_BATCHES, [_batch(batch) for batch in batches], screen)]
    if customers:
        names = ("customer", "asked", "sent")
        lines += ["", *table(_CUSTOMERS, [[text(one, name) for name in names] for one in customers], screen)]
    return lines


def _batch(batch: Fields) -> list[str]:
    share = MISSING if batch.get("sold_share") is None else percent(batch["sold_share"])
    return [*(text(batch, name) for name in ("batch", "variety", "cut", "stems_by_metre", "wasted", "sold")), share]


COMMAND = Command("season-end", "a year by batch and by customer", _add_arguments, _ask, _show)
