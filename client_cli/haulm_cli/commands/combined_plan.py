"""`haulm combined-plan`: the fewest extra batches that close every gap that batches can close, and what stays open."""

from __future__ import annotations

import sys
import time
from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import add_confidence
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, money, percent, percents, strings, text
from haulm_cli.problems import ServiceFault
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

LOOK_EVERY_S = 1.0
LONGEST_S = 600
"""So often it is looked at [times], a second apart."""
_BATCHES = (
    Column("day"),
    Column("method"),
    Column("variety"),
    Column("places", right=True),
    Column("trays", right=True),
    Column("bed"),
    Column("metres", right=True),
    Column("batch", gives_way=1),
)
_CLOSED = (Column("gap"), Column("sure", right=True), Column("missing", right=True))
_OPEN = (Column("gap"), Column("sure", right=True), Column("missing", right=True), Column("why it stays", gives_way=1))


def _add_arguments(parser: ArgumentParser) -> None:
    add_confidence(parser)


def _ask(service: Service, asked: Namespace) -> Reply:
    """Ask for it, and look every second how far it is; whoever gives up waiting finds it done later."""
    query = {} if asked.confidence is None else {"confidence": asked.confidence}
    reply, said = service.ask_combined_plan(query), ""
    for _ in range(LONGEST_S):
        if not reply.body.get("pending"):
            return reply
        said = _say_progress(reply.body, said)
        time.sleep(LOOK_EVERY_S)
        reply = service.combined_plan(query)
    raise ServiceFault("The combined plan is still being worked out: ask for it again in some minutes.")


def _say_progress(body: Fields, said: str) -> str:
    """Say how far it is on a terminal, unless that was said just before."""
    gaps = body.get("gaps")
    progress = "Waiting for its turn ..." if gaps is None else f"{text(body, 'looked_at')} of {gaps} gaps looked at ..."
    if progress != said and sys.stderr.isatty():
        print(progress, file=sys.stderr, flush=True)
    return progress


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    closed, still_open = items(body, "closed"), items(body, "open")
    if body.get("as_of") is None:
        return [screen.paragraph("Others were asked for since, and this one was dropped: ask for it again.")]
    if not closed and not still_open:
        return [screen.paragraph(f"Nothing is short {text(body, 'levels')}: no batch is needed.")]
    lines: list[str] = []
    if closed:
        lines += [*_batches(body, screen), "", screen.heading("Closed by them, before -> after")]
        lines += [*table(_CLOSED, [_closed(gap) for gap in closed], screen), ""]
    if still_open:
        rows = [[text(gap, "gap"), percent(gap.get("confidence")), *_why(gap)] for gap in still_open]
        lines += [screen.heading("Still short"), *table(_OPEN, rows, screen), ""]
    return [*lines, screen.paragraph(text(body, "not_counted"))]


def _batches(body: Fields, screen: Screen) -> list[str]:
    batches = sorted(items(body, "batches"), key=lambda batch: (_day(batch), text(batch, "key")))
    rows = [
        [
            _day(batch),
            *(text(batch, name) for name in ("method", "variety", "sown", "trays", "bed", "metres", "key")),
        ]
        for batch in batches
    ]
    cost = body.get("cost_minor")
    seed = "" if cost is None else f", seed for {money(cost, body.get('currency'))}"
    return [screen.heading(f"Batches to add: {len(rows)}{seed}"), *table(_BATCHES, rows, screen)]


def _day(batch: Fields) -> str:
    return text(batch, "sow_date") if batch.get("sow_date") else text(batch, "plant_out_date")


def _closed(gap: Fields) -> list[str]:
    return [
        text(gap, "gap"),
        percents(gap.get("confidence_before"), gap.get("confidence_after")),
        f"{text(gap, 'missing_before')} -> {text(gap, 'missing_after')}",
    ]


def _why(gap: Fields) -> list[str]:
    lines = ", ".join(strings(gap, "lines"))
    return [text(gap, "missing"), f"{text(gap, 'reason')} Lines: {lines}."]


COMMAND = Command("combined-plan", "the fewest extra batches that close all gaps", _add_arguments, _ask, _show)
