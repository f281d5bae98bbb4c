"""`haulm back-plan PRODUCT WEEK STEMS`: when to sow for a week or a day, and the last sowing of the year."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import add_confidence, iso_week_or_day, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, percent, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Query, Reply

_METHODS = ("cover", "heated", "direct", "plugs", "tuber")
_COLUMNS = (
    Column(""),
    Column("date"),
    Column("sure", right=True),
    Column("mean stems", right=True),
    Column("prick out"),
    Column("plant out"),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("product", metavar="PRODUCT", help="such as lagurus or lagurus:dried")
    parser.add_argument(
        "week",
        metavar="WEEK",
        type=iso_week_or_day,
        help="the week the stems are wanted, e.g. 2027-W32; or the day they leave, e.g. 2027-08-14",
    )
    parser.add_argument("stems", metavar="STEMS", type=some, help="how many stems")
    parser.add_argument("--method", choices=_METHODS, default="cover", help="how it is started (default: cover)")
    add_confidence(parser)


def _ask(service: Service, asked: Namespace) -> Reply:
    query: Query = {"product": asked.product, "week": asked.week, "method": asked.method, "stems": asked.stems}
    more: Query = {} if asked.confidence is None else {"confidence": asked.confidence}
    return service.back_plan({**query, **more})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    lines = [screen.paragraph(text(body, "sentence"))]
    rows = [[name, *_tried(body.get(name))] for name in ("earliest", "best", "latest") if body.get(name)]
    if rows:
        lines += ["", *table(_COLUMNS, rows, screen)]
    last = body.get("last_sowing")
    if isinstance(last, dict) and text(last, "advised") != MISSING:
        rule, forecast = text(last, "rule"), text(last, "forecast")
        said = f"Last sowing of the year: {text(last, 'advised')} (plain rule {rule}, forecast {forecast})."
        lines += ["", screen.paragraph(said)]
    return lines


def _tried(found: object) -> list[str]:
    item: Fields = found if isinstance(found, dict) else {}
    figures = [text(item, "date"), percent(item.get("confidence")), text(item, "mean_stems")]
    return [*figures, text(item, "prick_out"), text(item, "plant_out")]


COMMAND = Command("back-plan", "when to sow for a week", _add_arguments, _ask, _show)
