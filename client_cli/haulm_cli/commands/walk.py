"""`haulm walk`: the kinds to look at in the order of walking; `--count` writes down what was counted, all at once."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count
from haulm_cli.commands.command import Command
from haulm_cli.commands.warned import care_lines, spray_lines
from haulm_cli.fields import MISSING, Fields, items, strings, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("bed", gives_way=1),
    Column("kind"),
    Column("last", right=True),
    Column("on", gives_way=3),
    Column("poor", right=True),
    Column("middling", right=True),
    Column("good", right=True),
    Column("batches", gives_way=2),
)


def _counted(given: str) -> tuple[str, int]:
    """A kind and a count such as `lagurus=80`; 0 is a count."""
    kind, equals, stems = given.rpartition("=")
    if not (equals and kind.strip()):
        raise ArgumentTypeError(f"'{given}' has no count; accepted is a kind and a count such as lagurus=80")
    return kind.strip(), count(stems.strip())


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--count", type=_counted, action="append", default=[], metavar="KIND=N", help="stems that stand ready"
    )
    parser.add_argument(
        "--not-ready",
        type=_counted,
        action="append",
        default=[],
        metavar="KIND=N",
        help="buds beside them, for the note",
    )
    parser.add_argument("--frost", action="store_true", help="there was a killing frost on the whole farm")
    parser.set_defaults(misused=parser.error)


def _ask(service: Service, asked: Namespace) -> Reply:
    if not (asked.count or asked.not_ready or asked.frost):
        return service.walk()
    buds, counted = dict(asked.not_ready), dict(asked.count)
    if buds.keys() - counted.keys() or len(counted) < len(asked.count):
        asked.misused("every kind is counted once with --count, 0 where nothing stands ready")
    counts = [
        {"variety": kind, "standing": stems, **({"not_ready": buds[kind]} if kind in buds else {})}
        for kind, stems in counted.items()
    ]
    return service.record_walk({"counts": counts, "frost": asked.frost})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if "records" in body:
        return [screen.paragraph(f"Written down: {', '.join(strings(body, 'records'))}.")]
    stops = items(body, "stops")
    if not stops:
        return ["Nothing gives stems now or within three weeks."]
    lines = [screen.heading(f"Walk of {text(body, 'date')}: the last count, and what should stand ready today"), ""]
    closed = [
        f"{text(stop, 'name')}: inside a spray's waiting time, do not go in." for stop in stops if _is_closed(stop)
    ]
    cautions = [*spray_lines(body), *care_lines(body)]
    return [*lines, *table(_COLUMNS, [_row(stop) for stop in stops], screen), *map(screen.paragraph, closed + cautions)]


def _row(stop: Fields) -> list[str]:
    return [
        ", ".join(strings(stop, "beds")) or MISSING,
        text(stop, "variety"),
        text(stop, "last"),
        text(stop, "last_on"),
        *(text(stop, f"expected_p{level}") for level in (10, 50, 90)),
        ", ".join(strings(stop, "batches")) or MISSING,
    ]


def _is_closed(stop: Fields) -> bool:
    return stop.get("sprayed") is True


COMMAND = Command("walk", "what to count in the field, and the counts", _add_arguments, _ask, _show)
