"""`haulm next-year`: a season's sowings beside their copies in the next; with --copy they are put into the plan."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, day, items, money, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("batch"),
    Column("begun", gives_way=1),
    Column("next begun"),
    Column("places", right=True),
    Column("cut", right=True, gives_way=2),
    Column("a metre", right=True),
    Column("next year"),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--season", type=some, metavar="YEAR", help="the growing year to copy (default: this one)")
    parser.add_argument("--copy", action="store_true", help="put what is proposed, or what is named, into the plan")
    parser.add_argument("batches", nargs="*", metavar="BATCH", help="with --copy: these sowings and no others")


def _ask(service: Service, asked: Namespace) -> Reply:
    season = {} if asked.season is None else {"season": asked.season}
    if not asked.copy:
        return service.next_year(season)
    return service.copy_season({**season, "batches": asked.batches} if asked.batches else season)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if asked.copy:
        count = len(strings(body, "batches"))
        said = f"{count} sowing{'' if count == 1 else 's'} copied into {text(body, 'into')}."
        return [said if count else f"Nothing to copy: all of it is in the plan for {text(body, 'into')} already."]
    if body.get("season") is None:
        return ["There is no season yet that could be copied."]
    lines = [screen.heading(f"{text(body, 'season')}, sown again for {text(body, 'into')}")]
    rows = [_row(one, body.get("currency")) for one in items(body, "sowings")]
    lines += ["", *table(_COLUMNS, rows, screen)]
    for one in items(body, "kinds"):
        if one.get("why_not"):
            lines += ["", screen.paragraph(f"{text(one, 'variety')}: {text(one, 'why_not')}")]
    standing = [f"{text(one, 'batch')} ({text(one, 'stays')})" for one in items(body, "standing")]
    if standing:
        lines += ["", screen.paragraph(f"Stays: {', '.join(standing)}")]
    return [*lines, *(screen.paragraph(words) for words in strings(body, "over_full"))]


def _row(one: Fields, currency: object) -> list[str]:
    days = [day(one, "begun"), day(one, "copy_begun")]
    earned = money(one.get("minor_per_metre"), currency)
    return [text(one, "batch"), *days, text(one, "places"), text(one, "stems_cut"), earned, _becomes(one)]


def _becomes(one: Fields) -> str:
    words = {"copied": "in the plan", "past": "day is over", "proposed": "copied"}
    return next((said for name, said in words.items() if one.get(name)), "stays" if one.get("stays") else "not copied")


COMMAND = Command("next-year", "a season's sowings copied into the next", _add_arguments, _ask, _show)
