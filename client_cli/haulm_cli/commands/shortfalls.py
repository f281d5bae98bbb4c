"""`haulm shortfalls`: gaps by the day something must be decided, with the short lines inside."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence

from haulm_cli.api import Service
from haulm_cli.commands.arguments import add_confidence
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, percent, strings, text
from haulm_cli.tables import Column, Layout, Screen
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("due"),
    Column("order", gives_way=1, said_by="line"),
    Column("line"),
    Column("customer", gives_way=2),
    Column("product"),
    Column("stems", right=True),
    Column("missing", right=True),
    Column("sure", right=True),
)
# The product stands above the lines of a gap.
_INSIDE = tuple(column for column in _COLUMNS if column.title != "product")


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.shortfalls({} if asked.confidence is None else {"confidence": asked.confidence})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    short_lines = items(body, "shortfalls")
    gaps = sorted(items(body, "gaps"), key=_urgency)
    if not short_lines and not gaps:
        return [screen.paragraph(f"Nothing is short {text(body, 'levels')}.")]
    lines = [screen.paragraph(f"What is short {text(body, 'levels')}:"), ""]
    known = [gap.get("gap") for gap in gaps]
    inside = _layout(_INSIDE, [line for line in short_lines if line.get("gap") in known], screen)
    for gap in gaps:
        lines += [*_gap(gap, [line for line in short_lines if line.get("gap") == gap.get("gap")], inside), ""]
    rest = [line for line in short_lines if line.get("gap") not in known]
    if rest:
        lines += [screen.heading("Short lines outside any gap"), *_lines(rest, _layout(_COLUMNS, rest, screen)), ""]
    return [*lines, "'haulm options GAP' says what can still be done."]


def _urgency(gap: Fields) -> tuple[bool, str]:
    """Earliest decision first; gaps that nothing can close any more come last."""
    return text(gap, "decide_by") == MISSING, text(gap, "decide_by")


def _gap(gap: Fields, short_lines: Sequence[Fields], layout: Layout) -> list[str]:
    screen = layout.screen
    weeks = strings(gap, "weeks")
    span = weeks[0] if len(weeks) == 1 else f"{weeks[0]} to {weeks[-1]}" if weeks else MISSING
    title = f"{_day(gap)}: gap {text(gap, 'gap')}"
    facts = f"{text(gap, 'product')}, {span}, about {text(gap, 'missing')} stems missing"
    return [screen.heading(title), screen.paragraph(facts), *(_lines(short_lines, layout) if short_lines else [])]


def _day(gap: Fields) -> str:
    """The day to decide; as of when, where it is still to be worked out for the farm as it is now."""
    if gap.get("pending") is not True:
        return f"Decide by {text(gap, 'decide_by')}"
    if text(gap, "decide_by") == MISSING:
        return "The day to decide is still being worked out"
    return f"Decide by {text(gap, 'decide_by')}, as of {text(gap, 'as_of')}"


def _lines(short_lines: Sequence[Fields], layout: Layout) -> list[str]:
    by_day = sorted(short_lines, key=lambda line: text(line, "due"))
    return layout.lines([_row(line, layout.columns) for line in by_day], [text(line, "sentence") for line in by_day])


def _layout(columns: Sequence[Column], short_lines: Sequence[Fields], screen: Screen) -> Layout:
    return Layout.fitting(columns, [_row(line, columns) for line in short_lines], screen)


def _row(line: Fields, columns: Sequence[Column]) -> list[str]:
    cells = {name: text(line, name) for name in ("due", "order", "line", "customer", "stems")} | {
        "product": text(line, "product", "choice"),
        "missing": text(line, "expected_missing"),
        "sure": percent(line.get("confidence")),
    }
    return [cells[column.title] for column in columns]


def _add_arguments(parser: ArgumentParser) -> None:
    add_confidence(parser)


COMMAND = Command("shortfalls", "gaps by the day to decide, with the short lines inside", _add_arguments, _ask, _show)
