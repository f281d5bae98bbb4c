"""What holding and contracting a quote have in common: the override, and how the accepted promise is shown."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.falls import falls_table
from haulm_cli.fields import Fields, items, percent, text
from haulm_cli.tables import Column, Screen, table

_COLUMNS = (Column("line"), Column("sure", right=True))


def add_promise_arguments(parser: ArgumentParser) -> None:
    """The quote, and the owner's override."""
    parser.add_argument("quote", metavar="QUOTE", help="a quote's id, as 'haulm quote' shows it")
    parser.add_argument(
        "--override", action="store_true", help="accept although somebody already promised becomes less sure"
    )
    parser.add_argument(
        "--part",
        choices=("stands", "sown"),
        help="only what may be promised today, or that with what is sown for it, which enters the plan",
    )
    parser.add_argument("--reason", metavar="WHY", help="why it is overridden; no names, it is kept for good")


def promise_body(asked: Namespace) -> dict[str, object]:
    """The request's body; a part, the override and its reason are sent only where they were asked for."""
    part = {} if asked.part is None else {"part": asked.part}
    reason = {} if asked.reason is None else {"override_reason": asked.reason}
    return {**part, "override": True, **reason} if asked.override else part


def promise_lines(body: Fields, done: str, screen: Screen) -> list[str]:
    """The promise as accepted, line by line and jointly, and who is less sure for it."""
    rows = [[text(line, "line"), percent(line.get("confidence"))] for line in items(body, "lines")]
    shown = ["", *table(_COLUMNS, rows, screen), ""] if rows else []
    displaced = falls_table(items(body, "displaced"), "Less sure than before, and still at their floor:", screen)
    falls = falls_table(items(body, "falls"), "Now below what they keep:", screen)
    joint = f"All lines together: {percent(body.get('order_confidence'))} sure"
    return [screen.heading(done), *shown, joint, *displaced, *falls, *_contracting(body, screen)]


def _contracting(body: Fields, screen: Screen) -> list[str]:
    """Whether a hold could be contracted now, and whom that would cost."""
    could = body.get("could_be_contracted")
    if not isinstance(could, bool):
        return []
    said = "It could be contracted now." if could else "It could not be contracted now."
    lowered = items(body, "contracting_would_lower")
    return ["", said, *falls_table(lowered, "A contract would take below what they keep:", screen)]
