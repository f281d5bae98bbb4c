"""`haulm store`: what is in the cool store, the oldest first; or stems of it go to the stall, to drying or to waste."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import named_count
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

WAYS_OUT = ("stall", "dried", "waste")
_COLUMNS = (
    Column("pile"),
    Column("product"),
    Column("stems", right=True),
    Column("cut on", gives_way=1),
    Column("from"),
    Column("until"),
    Column("past it"),
)


def _add_arguments(parser: ArgumentParser) -> None:
    moves = parser.add_mutually_exclusive_group()
    moves.add_argument("--stall", type=named_count, metavar="PILE=N", help="so many stems of a pile go to the stall")
    moves.add_argument("--dried", type=named_count, metavar="PILE=N", help="so many are hung; stock once they are dry")
    moves.add_argument("--waste", type=named_count, metavar="PILE=N", help="so many are thrown away")
    moves.add_argument("--counted", type=named_count, metavar="PILE=N", help="take stock: so many are really there")
    parser.add_argument("--reason", default="", metavar="TEXT", help="why they are thrown away")


def _ask(service: Service, asked: Namespace) -> Reply:
    for to in WAYS_OUT:
        if getattr(asked, to) is not None:
            pile, stems = getattr(asked, to)
            why = {"reason": asked.reason} if asked.reason else {}
            return service.move_stored({"pile": pile, "to": to, "stems": stems, **why})
    if asked.counted is not None:
        pile, stems = asked.counted
        return service.count_stored({"pile": pile, "counted": stems})
    return service.store()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if "difference" in body:
        counted, difference = text(body, "counted"), text(body, "difference")
        return [screen.paragraph(f"{counted} stems of {text(body, 'pile')} are there, a difference of {difference}.")]
    if "pile" in body:
        return [screen.paragraph(f"{text(body, 'stems')} stems of {text(body, 'pile')} went to: {text(body, 'to')}.")]
    stems = items(body, "stems")
    return table(_COLUMNS, [_row(one) for one in stems], screen) if stems else ["The cool store is empty."]


def _row(one: Fields) -> list[str]:
    names = ("pile", "product", "stems", "cut_on", "usable_from", "usable_until", "over")
    return [text(one, name) for name in names]


COMMAND = Command("store", "what is in the cool store, and where it goes", _add_arguments, _ask, _show)
