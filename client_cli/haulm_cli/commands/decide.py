"""`haulm decide`: what was decided about kinds that do harm in pieces; with a kind, one more decision."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Mapping

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.commands.quote import told_kinds
from haulm_cli.fields import MISSING, Fields, items, percent, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("variety"),
    Column("decision"),
    Column("in"),
    Column("note", gives_way=1),
    Column("by"),
    Column("on", gives_way=2),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("variety", nargs="?", metavar="VARIETY", help="the kind (else: every decision)")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--worn", dest="where", action="store_const", const="worn", help="in what is worn or held")
    where.add_argument("--table", dest="where", action="store_const", const="table", help="in what stands on tables")
    where.add_argument("--piece", metavar="PIECE", help="in one piece only, e.g. 'bridal bouquet'")
    word = parser.add_mutually_exclusive_group()
    word.add_argument("--use-it", dest="word", action="store_const", const="use", help="use it all the same")
    word.add_argument("--keep-out", dest="word", action="store_const", const="keep_out", help="keep it out")
    word.add_argument("--ask-me", dest="word", action="store_const", const="ask", help="take back what was decided")
    parser.add_argument("--note", metavar="TEXT", help="what goes with it, e.g. 'gloves for whoever binds'")
    parser.add_argument("--quote", metavar="QUOTE", help="the quote that asked: it is answered anew")


def _ask(service: Service, asked: Namespace) -> Reply:
    if asked.variety is None:
        return service.piece_decisions()
    said = {"variety": asked.variety, "use": asked.where, "piece": asked.piece, "note": asked.note}
    # What is missing of a decision is named by the service.
    decision = {name: value for name, value in said.items() if value is not None} | {"decision": asked.word or ""}
    return service.decide({"decisions": [decision]} | ({} if asked.quote is None else {"quote": asked.quote}))


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if asked.variety is None:
        found = items(body, "decisions")
        return table(_COLUMNS, [_row(one) for one in found], screen) if found else ["Nothing is decided yet."]
    said = ["Kept; quotes follow it from now on." if asked.word != "ask" else "Taken back; quotes ask about it again."]
    if body.get("unanswered"):
        said.append(text(body, "unanswered"))
    quote = body.get("quote")
    if isinstance(quote, Mapping):
        said += _anew(quote)
    return [screen.paragraph(part) for part in said]


def _anew(quote: Fields) -> list[str]:
    """A quote that was answered anew: how sure it is now, what changed, and what is still asked."""
    version = quote.get("version")
    if not isinstance(version, Mapping):
        return []
    sure = percent(version.get("order_confidence"))
    return [
        f"Quote {text(quote, 'id')} answered anew, all lines together {sure} sure.",
        *strings(version, "changed"),
        *told_kinds(version, text(quote, "id")),
    ]


def _row(one: Fields) -> list[str]:
    word = {"use": "use it", "keep_out": "keep out"}.get(text(one, "decision"), MISSING)
    where = text(one, "piece", "use")
    day = text(one, "at_utc")
    return [text(one, "variety"), word, where, text(one, "note"), text(one, "actor"), day[:10]]


COMMAND = Command("decide", "use a kind in pieces all the same, or keep it out", _add_arguments, _ask, _show)
