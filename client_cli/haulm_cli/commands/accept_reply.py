"""`haulm accept-reply REPLY`: the grower's word on a florist's answer."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, strings
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _trim(given: str) -> tuple[int, int]:
    """The place of an ask, from 1, and the bunches it gets, such as 1=2."""
    place, sign, bunches = given.partition("=")
    if not sign:
        raise ArgumentTypeError(f"'{given}' names no ask and bunches; accepted is such as 1=2")
    return some(place), count(bunches)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("reply", type=some, metavar="REPLY", help="its number, as 'haulm replies' shows it")
    word = parser.add_mutually_exclusive_group()
    word.add_argument(
        "--bunches",
        type=_trim,
        action="append",
        default=[],
        metavar="ASK=N",
        help="only so many bunches for the first ask, the second, ... (1=2)",
    )
    word.add_argument("--decline", action="store_true", help="decline it; the standing order stands")
    parser.add_argument("--note", metavar="TEXT", help="a word to the florist")
    parser.add_argument("--override", action="store_true", help="even if an earlier promise falls by it")
    parser.add_argument("--reason", metavar="WHY", help="why it is overridden; no names, it is kept for good")


def _ask(service: Service, asked: Namespace) -> Reply:
    bunches = {str(place - 1): given for place, given in asked.bunches}
    reason = {} if asked.reason is None else {"override_reason": asked.reason}
    said: Fields = {"bunches": bunches, "override": asked.override, "note": asked.note or "", **reason}
    return service.judge_reply(asked.reply, "decline" if asked.decline else "accept", said)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    outcomes = enumerate(strings(body, "outcomes"), 1)
    return [screen.paragraph(f"Ask {place}: {outcome}.") for place, outcome in outcomes] or [MISSING]


COMMAND = Command("accept-reply", "accept, trim or decline a florist's answer", _add_arguments, _ask, _show)
