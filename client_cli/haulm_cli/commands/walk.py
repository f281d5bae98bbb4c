"""`haulm walk`: the beds in the order of walking; what was counted and seen is written down all at once."""

from __future__ import annotations

import re
from argparse import ArgumentParser, ArgumentTypeError, Namespace
from collections.abc import Iterable

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, iso_date
from haulm_cli.commands.command import Command
from haulm_cli.commands.warned import care_lines, spray_lines
from haulm_cli.fields import MISSING, Fields, items, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

SAID = ("not_yet", "gone_over", "frost_damage", "part_lost", "all_lost")
"""What may be said of a sowing beside a count."""
BLANK = ("nothing_yet", "not_looked")
_AMOUNT = re.compile(r"(\d{1,9})(%|)", re.ASCII)
_COLUMNS = (
    Column("bed", gives_way=1),
    Column("sowing"),
    Column("kind", gives_way=2),
    Column("last", right=True),
    Column("on", gives_way=3),
    Column("poor", right=True),
    Column("middling", right=True),
    Column("good", right=True),
)


def _counted(given: str) -> tuple[str, int]:
    """A sowing or kind and a count such as `lagurus=80`; 0 is a count."""
    kind, equals, stems = given.rpartition("=")
    if not (equals and kind.strip()):
        raise ArgumentTypeError(f"'{given}' has no count; accepted is a kind and a count such as lagurus=80")
    return kind.strip(), count(stems.strip())


def _said(given: str) -> Fields:
    """What was seen of a sowing, such as `ammi-1=part_lost:30`, `ammi-1=part_lost:25%` or `ammi-1=gone_over`."""
    batch, equals, rest = given.rpartition("=")
    said, colon, amount = rest.strip().lower().replace("-", "_").partition(":")
    found = _AMOUNT.fullmatch(amount)
    if not (equals and batch.strip()) or said not in SAID or (colon and found is None):
        accepted = f"a sowing and one of {', '.join(SAID)}, such as ammi-1=part_lost:30 or ammi-1=part_lost:25%"
        raise ArgumentTypeError(f"'{given}' does not say what was seen; accepted is {accepted}")
    if found is None or not colon:
        return {"said": said, "batch": batch.strip()}
    return {"said": said, "batch": batch.strip(), "share_pct" if found[2] else "count": int(found[1])}


def _word(given: str) -> str:
    return given.lower().replace("-", "_")


def _add_arguments(parser: ArgumentParser) -> None:
    for flag, says in (
        ("--count", "stems that stand ready, of a kind in all its beds"),
        ("--bed-count", "stems that stand ready, of one sowing (its key)"),
        ("--not-ready", "buds beside a count, for the note"),
    ):
        parser.add_argument(flag, type=_counted, action="append", default=[], metavar="NAME=N", help=says)
    parser.add_argument(
        "--seen", type=_said, action="append", default=[], metavar="SOWING=WHAT", help=f"one of: {', '.join(SAID)}"
    )
    parser.add_argument("--frost", action="store_true", help="there was a killing frost on the whole farm")
    parser.add_argument(
        "--blank", type=_word, choices=BLANK, metavar="ANSWER", help="what was left blank: nothing_yet or not_looked"
    )
    parser.add_argument("--walk", metavar="KEY", help="a key of your own: sent again, the walk is written once")
    parser.add_argument("--date", type=iso_date, metavar="DATE", help="the day (default: the service's today)")
    parser.add_argument("--really", action="store_true", help="what was asked about is so")
    parser.set_defaults(misused=parser.error)


def _ask(service: Service, asked: Namespace) -> Reply:
    if not (asked.count or asked.bed_count or asked.not_ready or asked.seen or asked.frost or asked.blank):
        return service.walk()
    buds = dict(asked.not_ready)
    counts = [*_counts("variety", asked.count, buds), *_counts("batch", asked.bed_count, buds)]
    named = [name for name, _ in (*asked.count, *asked.bed_count)]
    if buds.keys() - set(named) or len(set(named)) < len(named):
        asked.misused("every kind or sowing is counted once, 0 where nothing stands ready")
    body: Fields = {"counts": counts, "frost": asked.frost}
    given = {"seen": asked.seen, "blank": asked.blank, "walk": asked.walk, "date": asked.date, "really": asked.really}
    return service.record_walk({**body, **{name: value for name, value in given.items() if value}})


def _counts(about: str, counted: Iterable[tuple[str, int]], buds: dict[str, int]) -> list[Fields]:
    return [
        {about: name, "standing": stems, **({"not_ready": buds[name]} if name in buds else {})}
        for name, stems in counted
    ]


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if "records" in body:
        return _written(body, screen)
    stops = items(body, "stops")
    if not stops:
        return ["Nothing is in the ground."]
    lines = [screen.heading(f"Walk of {text(body, 'date')}: the last count, and what should stand ready today"), ""]
    closed = [
        f"{text(stop, 'name')}: inside a spray's waiting time, do not go in." for stop in stops if _is_closed(stop)
    ]
    cautions = [*spray_lines(body), *care_lines(body)]
    rows = [_row(stop, one) for stop in stops for one in items(stop, "growing")]
    return [*lines, *table(_COLUMNS, rows, screen), *map(screen.paragraph, closed + cautions)]


def _written(body: Fields, screen: Screen) -> list[str]:
    lines = [screen.paragraph(f"Written down: {', '.join(strings(body, 'records')) or 'nothing'}.")]
    blank = [f"{text(one, 'name')} ({text(one, 'batch')})" for one in items(body, "blank")]
    if blank:
        said = "say --blank nothing_yet where you looked and there was nothing, else --blank not_looked"
        lines.append(screen.paragraph(f"Left blank: {', '.join(blank)}; {said}."))
    return lines


def _row(stop: Fields, one: Fields) -> list[str]:
    return [
        text(stop, "name") if stop.get("name") else MISSING,
        text(one, "batch"),
        text(one, "variety"),
        text(one, "last"),
        text(one, "last_on"),
        *(text(one, f"expected_p{level}") for level in (10, 50, 90)),
    ]


def _is_closed(stop: Fields) -> bool:
    return stop.get("sprayed") is True


COMMAND = Command("walk", "what to count in the field, and the counts", _add_arguments, _ask, _show)
