"""`haulm availability`: how many stems are free to promise, by product and week."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from itertools import groupby

from haulm_cli.api import Service
from haulm_cli.commands.arguments import WEEKDAYS, add_confidence, iso_week, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, percent, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_CAUTION = "Estimates, not guarantees. Cells do not add up: each promise changes the others."
_SHARED = "* the stems are shared with other weeks."
_WEEK_WIDTH, _APART = 7, 2
_PRODUCT_WIDTH = 24


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--from", dest="first_week", type=iso_week, metavar="WEEK", help="first week, e.g. 2027-W20")
    parser.add_argument("--weeks", type=some, default=8, metavar="N", help="how many weeks (default: 8)")
    add_confidence(parser)
    parser.add_argument("--product", metavar="KEY", help="only this product, with what is ready and what is committed")
    parser.add_argument(
        "--weekday", type=str.lower, choices=WEEKDAYS, help="due day (default: the best of the farm's delivery days)"
    )


def _ask(service: Service, asked: Namespace) -> Reply:
    query = {
        "from": asked.first_week,
        "weeks": asked.weeks,
        "confidence": asked.confidence,
        "product": asked.product,
        "weekday": asked.weekday,
    }
    return service.availability({name: value for name, value in query.items() if value is not None})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    rows = items(body, "rows")
    if not rows:
        return ["Nothing is grown or in stock for these weeks."]
    weekly = [row for row in rows if row.get("week")]
    stock = [row for row in rows if not row.get("week")]
    due = f", due on {asked.weekday}" if asked.weekday else ""
    lines = [screen.heading(f"Stems free to promise, {percent(body.get('confidence'))} sure{due}")]
    if any(_hopes(row) for row in rows):
        hope = f"After the stroke: hope to offer, {percent(body.get('hope_confidence'))} sure, not promised."
        lines.append(screen.paragraph(hope))
    lines.append("")
    if weekly and asked.product:
        lines += [*_detail("week", weekly, screen), ""]
    elif weekly:
        lines += _grid(strings(body, "weeks") or sorted({text(row, "week") for row in weekly}), weekly, screen)
    if stock:
        lines += ["In stock, whatever the week:", *_detail("product", stock, screen), ""]
    shared = [_SHARED] if any(row.get("shared") for row in rows) else []
    return lines + shared + [screen.paragraph(_CAUTION)]


def _grid(weeks: Sequence[str], rows: Sequence[Fields], screen: Screen) -> list[str]:
    """Product by week, a table a year; weeks that don't fit beside each other follow in a further table."""
    cells = {(text(row, "product"), text(row, "week")): _free(row) for row in rows}
    products = list(dict.fromkeys(product for product, _ in cells))
    longest = min(max(map(len, products), default=0), screen.width // 2)
    widest = max(_WEEK_WIDTH, *(len(cell) + _APART for cell in cells.values()))
    beside = max(1, (screen.width - max(longest, _PRODUCT_WIDTH)) // widest)
    lines: list[str] = []
    for year, of_year in groupby(weeks, key=lambda week: week.partition("-")[0]):
        for shown in _parted(list(of_year), beside):
            columns = [Column(year), *(Column(week.partition("-")[2], right=True) for week in shown)]
            body = [[product, *(cells.get((product, week), MISSING) for week in shown)] for product in products]
            lines += [*table(columns, body, screen), ""]
    return lines


def _parted(weeks: Sequence[str], most: int) -> Iterator[Sequence[str]]:
    return (weeks[start : start + most] for start in range(0, len(weeks), most))


def _detail(first: str, rows: Sequence[Fields], screen: Screen) -> list[str]:
    titles = ("ready, poor", "ready, middling", "ready, good", "committed", "promise")
    columns = [Column(first), *(Column(title, right=True) for title in titles)]
    cells = [
        [text(row, first), *(text(row, f"ready_p{p}") for p in (10, 50, 90)), text(row, "committed"), _free(row)]
        for row in rows
    ]
    return table(columns, cells, screen)


def _free(row: Fields) -> str:
    hope = f" / {text(row, 'hope_to_offer')}" if _hopes(row) else ""
    return text(row, "free_to_promise") + hope + ("*" if row.get("shared") else "")


def _hopes(row: Fields) -> bool:
    """Whether the farm may hope to offer more than it promises."""
    return row.get("hope_to_offer") not in (None, row.get("free_to_promise"))


COMMAND = Command("availability", "stems free to promise, by product and week", _add_arguments, _ask, _show)
