"""`haulm cut STEMS`: write down stems that were cut; they are in the cool store from then on."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, iso_date, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, strings
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply

_FACTS = ("batch", "variety", "left", "length_cm", "grade", "date", "key")


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("stems", type=some, metavar="STEMS", help="good stems cut")
    where = parser.add_mutually_exclusive_group(required=True)
    where.add_argument("--batch", metavar="KEY", help="the batch they were cut from")
    where.add_argument("--variety", metavar="KEY", help="the variety, split over its ready batches, oldest first")
    parser.add_argument("--left", type=count, metavar="N", help="stems left standing; else a cut is a lower bound")
    parser.add_argument("--length-cm", type=some, metavar="CM", help="stem length")
    parser.add_argument("--grade", choices=["A", "B"], help="A (unless said); B fills no order")
    parser.add_argument("--beyond-count", action="store_true", help="more than were counted today, and that is right")
    parser.add_argument("--date", type=iso_date, metavar="DATE", help="the day (default: the service's today)")
    parser.add_argument("--key", metavar="KEY", help="a key of your own: sent again, it is written once")
    parser.add_argument("--really", action="store_true", help="it was asked about, and is so")


def _ask(service: Service, asked: Namespace) -> Reply:
    facts = {name: getattr(asked, name) for name in _FACTS if getattr(asked, name) is not None}
    flags = {name: True for name in ("beyond_count", "really") if getattr(asked, name)}
    return service.cut({"stems": asked.stems, **facts, **flags})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    written = ", ".join(strings(body, "records"))
    return [screen.paragraph(f"Cut: {asked.stems} stems of {asked.batch or asked.variety} (record {written}).")]


COMMAND = Command("cut", "write down stems that were cut", _add_arguments, _ask, _show)
