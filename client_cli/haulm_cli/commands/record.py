"""`haulm record KIND`: write down what was seen or done in the field."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, iso_date, some
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply

KINDS = (
    "sown",
    "germinated",
    "pricked_out",
    "potted_on",
    "hardening",
    "planted",
    "standing",
    "not_yet",
    "first_cut",
    "cut",
    "hung",
    "waste",
    "lost",
    "resown",
    "frost",
    "finished",
    "corrected",
)
REASONS = ("frost", "gone_over", "pests", "disease", "weather", "other")
_FACTS = (
    "date",
    "batch",
    "variety",
    "count",
    "share_pct",
    "left",
    "reason",
    "grade",
    "length_cm",
    "note",
    "corrects",
    "key",
)


def _kind(word: str) -> str:
    return word.lower().replace("-", "_")


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("kind", type=_kind, choices=KINDS, metavar="KIND", help=f"one of: {', '.join(KINDS)}")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--batch", metavar="KEY", help="the batch it is about")
    where.add_argument("--variety", metavar="KEY", help="the variety, split over its ready batches, oldest first")
    parser.add_argument("--count", type=count, metavar="N", help="how many")
    parser.add_argument("--left", type=count, metavar="N", help="stems left standing; else a cut is a lower bound")
    parser.add_argument("--final", action="store_true", help="the count will not rise any more (germination)")
    parser.add_argument("--date", type=iso_date, metavar="DATE", help="the day (default: the service's today)")
    parser.add_argument("--grade", choices=["A", "B"], help="A: order length and better; B: shorter or softer")
    parser.add_argument("--length-cm", type=some, metavar="CM", help="stem length")
    parser.add_argument("--note", metavar="TEXT", help="anything else")
    parser.add_argument("--corrects", metavar="KEY", help="the record this one corrects")
    parser.add_argument("--share-pct", type=some, metavar="PCT", help="share of the plants that were lost")
    parser.add_argument("--reason", type=_kind, choices=REASONS, metavar="WHY", help=f"one of: {', '.join(REASONS)}")
    parser.add_argument("--key", metavar="KEY", help="a key of your own: sent again, it is written once")
    parser.add_argument("--really", action="store_true", help="it was asked about, and is so")


def _ask(service: Service, asked: Namespace) -> Reply:
    facts = {name: getattr(asked, name) for name in _FACTS if getattr(asked, name) is not None}
    flags = {name: True for name in ("final", "really") if getattr(asked, name)}
    return service.record({"kind": asked.kind, **facts, **flags})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    return [screen.paragraph(_sentence(record, asked)) for record in items(body, "records") or [body]]


def _sentence(record: Fields, asked: Namespace) -> str:
    """What the service says it wrote down; where it is silent, what was asked."""
    said = {**{name: getattr(asked, name) for name in ("kind", *_FACTS)}, **record}
    parts = [text(said, "kind")]
    if said.get("batch") or said.get("variety"):
        parts.append(text(said, "batch", "variety"))
    parts += [f"{name} {text(said, name)}" for name in ("count", "left") if said.get(name) is not None]
    return f"Recorded on {text(said, 'date')}: {', '.join(parts)} (record {text(said, 'key', 'id')})."


COMMAND = Command("record", "write down what was seen or done", _add_arguments, _ask, _show)
