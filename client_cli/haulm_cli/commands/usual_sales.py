"""`haulm usual-sales`: what is likely to be asked for though nobody has ordered it; add, change or take back one."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, iso_week, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import MISSING, Fields, items, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

SOURCES = ("florist", "wishes", "stall")
_FACTS = (
    "source", "product", "choice", "stems", "first_week", "last_week", "weekday", "stem_price_minor", "customer",
    "note",
)  # fmt: skip
_COLUMNS = (
    Column("key"),
    Column("from"),
    Column("asks"),
    Column("stems a week", right=True),
    Column("weeks"),
    Column("customer", gives_way=1),
    Column("note", gives_way=2),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("key", nargs="?", metavar="KEY", help="the usual sale to change (else: every one)")
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--add", action="store_true", help="put in a new one; KEY may be left to the service")
    what.add_argument("--take-back", action="store_true", help="take it out, as if it had never been entered")
    parser.add_argument("--source", type=str.lower, choices=SOURCES, help="where the hope comes from")
    asks = parser.add_mutually_exclusive_group()
    asks.add_argument("--product", metavar="K", help="a variety's key, or KEY:dried")
    asks.add_argument("--choice", metavar="WORDS", help="what would do, such as 'role=filler colour=white'")
    parser.add_argument("--stems", type=some, metavar="N", help="stems a week")
    parser.add_argument("--from", dest="first_week", type=iso_week, metavar="WEEK", help="the first week")
    parser.add_argument("--to", dest="last_week", type=iso_week, metavar="WEEK", help="the last week")
    parser.add_argument("--weekday", metavar="DAY", help="the day the stems leave (default: the bucket day)")
    parser.add_argument("--stem-price-minor", type=count, metavar="N", help="the usual price of a stem, minor units")
    parser.add_argument("--customer", metavar="KEY", help="who usually takes them")
    parser.add_argument("--note", metavar="TEXT", help="anything else")


def _ask(service: Service, asked: Namespace) -> Reply:
    said = {name: getattr(asked, name) for name in _FACTS if getattr(asked, name) is not None}
    if asked.add:
        return service.add_usual_sale(said if asked.key is None else {"key": asked.key, **said})
    if asked.key is None:
        return service.usual_sales()
    return service.take_back_usual_sale(asked.key) if asked.take_back else service.change_usual_sale(asked.key, said)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if not asked.add and asked.key is None:
        found = items(body, "rows")
        return table(_COLUMNS, [_row(one) for one in found], screen) if found else ["No usual sale is entered yet."]
    asks = f"{text(body, 'stems')} stems a week of {text(body, 'product', 'choice')}, weeks {_weeks(body)}"
    end = " is taken back" if asked.take_back else ""
    return [screen.paragraph(f"Usual sale {text(body, 'key')}{end}: {asks}. Hoped for, never promised.")]


def _row(one: Fields) -> list[str]:
    names = (text(one, "key"), text(one, "source"), text(one, "product", "choice"), text(one, "stems"))
    return [*names, _weeks(one), text(one, "customer"), text(one, "note")]


def _weeks(one: Fields) -> str:
    first, last = text(one, "first_week"), text(one, "last_week")
    return first if last in (first, MISSING) else f"{first} to {last}"


COMMAND = Command("usual-sales", "what is hoped for: usual sales", _add_arguments, _ask, _show)
