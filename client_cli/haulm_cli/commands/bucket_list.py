"""`haulm bucket-list DATE`: what goes into which bucket; settled, corrected, taken back, and on its way."""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError, Namespace
from collections.abc import Sequence

from haulm_cli.api import Service
from haulm_cli.commands.arguments import count, iso_date
from haulm_cli.commands.command import Command
from haulm_cli.commands.list_prices import shown_prices
from haulm_cli.fields import MISSING, Fields, items, number, plain, sources, strings, text
from haulm_cli.tables import Column, Layout, Screen
from haulm_cli.wire import Reply

_COLUMNS = (
    Column("due", gives_way=3),
    Column("product"),
    Column("line", gives_way=2),
    Column("state", gives_way=4),
    Column("yours", right=True, gives_way=5),
    Column("up to", right=True, gives_way=6),
    Column("asked", right=True),
    Column("filled", right=True),
    Column("short", right=True),
    Column("bunches", right=True),
    Column("over", right=True),
    Column("from", gives_way=1),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("date", type=iso_date, metavar="DATE", help="the bucket day, e.g. 2027-08-09")
    does = parser.add_mutually_exclusive_group()
    does.add_argument("--confirm", action="store_true", help="settle each delivery that can be, or those named")
    does.add_argument("--expected", action="store_true", help="send everybody on it what is expected, once each")
    does.add_argument("--share", action="store_true", help="keep that the products of --evenly are shared, no others")
    does.add_argument("--take-back", action="store_true", help="take back what is settled, while nothing has left")
    does.add_argument("--van-left", action="store_true", help="the van has left with what is packed for today")
    does.add_argument("--prices", action="store_true", help="what is settled costs, with every credit")
    does.add_argument("--correct", type=_sent, metavar="LINE@DUE=N", help="a settled line gets N stems after all")
    parser.add_argument(
        "--reason", metavar="TEXT", default="", help="why, with --correct: 'never cut', 'thrown' or ..."
    )
    _add_decided(parser)
    parser.set_defaults(misused=parser.error)


def _add_decided(parser: ArgumentParser) -> None:
    decided = parser.add_argument_group("what is decided (only with --confirm; each may be repeated)")
    decided.add_argument("--seen", metavar="TAG", help="the tag of the list as you saw it (else: as it is now)")
    decided.add_argument(
        "--delivery", dest="named", action="append", type=_delivery, default=[], metavar="ORDER@DUE", help="settle this"
    )
    decided.add_argument(
        "--no-cut",
        dest="uncut",
        action="append",
        type=_delivery,
        default=[],
        metavar="ORDER@DUE",
        help="settle this with what the store has: no cut is made for it",
    )
    decided.add_argument("--far-ahead", action="store_true", help="a day more than a week ahead is meant")
    decided.add_argument(
        "--send",
        dest="sent",
        action="append",
        type=_sent,
        default=[],
        metavar="LINE@DUE=N",
        help="a line gets fewer stems, or 0, e.g. anna-1@2027-08-10=20",
    )
    decided.add_argument(
        "--fill",
        dest="filled",
        action="append",
        type=_filled,
        default=[],
        metavar="LINE@DUE=PRODUCT",
        help="only this fills a line: its own product, or one it accepts instead",
    )
    decided.add_argument(
        "--evenly", action="append", default=[], metavar="PRODUCT", help="share it evenly, not by rank"
    )
    decided.add_argument(
        "--acknowledge", action="append", default=[], metavar="CUSTOMER", help="may be short a second time running"
    )


def _delivery(given: str) -> Fields:
    """An order and its due day such as `anna-weekly@2027-08-10`."""
    order, at, due = given.rpartition("@")
    if not (at and order):
        raise ArgumentTypeError(f"'{given}' is no delivery; accepted is one such as anna-weekly@2027-08-10")
    return {"order": order, "due": iso_date(due)}


def _sent(given: str) -> Fields:
    """A line, its due day and its stems such as `anna-1@2027-08-10=20`."""
    line, due, stems = _parted(given, "stems", "20")
    return {"line": line, "due": due, "stems": count(stems)}


def _filled(given: str) -> Fields:
    """A line, its due day and what fills it such as `anna-1@2027-08-10=nigella`."""
    line, due, product = _parted(given, "a product", "nigella")
    return {"line": line, "due": due, "product": product}


def _parted(given: str, what: str, example: str) -> tuple[str, str, str]:
    named, equals, value = given.rpartition("=")
    line, at, due = named.rpartition("@")
    if not (equals and at and line and value):
        accepted = f"accepted is one such as anna-1@2027-08-10={example}"
        raise ArgumentTypeError(f"'{given}' is no line with {what}; {accepted}")
    return line, iso_date(due), value


def _decided_lines(asked: Namespace) -> list[Fields]:
    """What is decided of each line, once a line."""
    found: dict[tuple[str, str], dict[str, object]] = {}
    for said in (*asked.sent, *asked.filled):
        found.setdefault((said["line"], said["due"]), {}).update(said)
    return list(found.values())


def _ask(service: Service, asked: Namespace) -> Reply:
    deliveries = [*asked.named, *({**one, "no_cut": True} for one in asked.uncut)]
    named = {"lines": _decided_lines(asked), "evenly": asked.evenly, "acknowledge": asked.acknowledge}
    named |= {"deliveries": deliveries, "far_ahead": asked.far_ahead, "seen": asked.seen}
    decided = {name: value for name, value in named.items() if value}
    if decided and not asked.confirm and not (decided.keys() == {"evenly"} and (asked.expected or asked.share)):
        asked.misused("what is decided is written down with --confirm only")
    if bool(asked.reason) != (asked.correct is not None):
        asked.misused("a correction has a reason: --correct LINE@DUE=N --reason TEXT")
    if asked.confirm:
        return _confirm(service, asked, decided)
    if asked.expected:
        return service.tell_expected(asked.date, decided)
    if asked.share:
        return service.share_list(asked.date, {"evenly": asked.evenly})
    return _after(service, asked)


def _after(service: Service, asked: Namespace) -> Reply:
    """What is done to a list once it is settled; it is read where nothing is."""
    if asked.take_back:
        return service.take_back_list(asked.date)
    if asked.van_left:
        return service.van_left(asked.date, {})
    if asked.correct is not None:
        return service.correct_list(asked.date, {**asked.correct, "reason": asked.reason})
    return service.bucket_list_prices(asked.date) if asked.prices else _read(service, asked)


def _confirm(service: Service, asked: Namespace, decided: dict[str, object]) -> Reply:
    """Settle what was seen: under the tag that was said, or as the list is at this moment."""
    tag = decided.pop("seen", None)
    if tag is not None:
        return service.confirm_bucket_list(asked.date, decided, f'"{tag}"')
    now = service.bucket_list(asked.date, [f"{one['order']}@{one['due']}" for one in asked.uncut])
    seen = [
        {"line": line["line"], "due": line["due"], "filled": line["filled"]}
        for customer in items(now.body, "customers")
        for line in items(customer, "lines")
    ]
    return service.confirm_bucket_list(asked.date, {**decided, "seen": seen}, now.etag)


def _read(service: Service, asked: Namespace) -> Reply:
    found = service.bucket_list(asked.date)
    return Reply(found.text, {**found.body, "tag": found.etag.strip('"')}, found.etag)


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    if asked.prices:
        return shown_prices(body, asked.date, screen)
    if "stems" in body:
        return [screen.paragraph(f"{_DONE[_done(asked)]}: {text(body, 'stems')} stems.")]
    if "queued" in body:
        return _told(body, screen)
    state = "settled" if body.get("confirmed") else "expected, or settled in part"
    span = f"lines due {text(body, 'from')} to {text(body, 'to')}"
    lines = [screen.heading(f"Bucket list of {asked.date}, {span}: {state}"), ""]
    customers = items(body, "customers")
    if not customers:
        return [*lines, "No line is due in these days."]
    rows = [_row(line) for customer in customers for line in items(customer, "lines")]
    layout = Layout.fitting(_COLUMNS, rows, screen)
    for customer in customers:
        lines += [screen.heading(text(customer, "customer")), *_lines(items(customer, "lines"), layout), ""]
    ready = [f"{text(one, 'order')}@{text(one, 'due')}" for one in items(body, "deliveries") if one.get("can_settle")]
    if ready:
        lines += [screen.paragraph(f"Can be settled: {', '.join(ready)}."), ""]
    return [*lines, f"Seen as {text(body, 'tag')}"] if body.get("tag") else lines[:-1]


def _told(body: Fields, screen: Screen) -> list[str]:
    lines = [screen.paragraph(f"Told: {', '.join(strings(body, 'queued')) or 'nobody who was not told before'}.")]
    unreached = strings(body, "no_address")
    return [*lines, screen.paragraph(f"No address: {', '.join(unreached)}.")] if unreached else lines


_DONE = {"take_back": "Taken back into the store", "van_left": "Delivered", "correct": "Corrected to"}


def _done(asked: Namespace) -> str:
    return next(name for name in _DONE if getattr(asked, name))


def _lines(due: Sequence[Fields], layout: Layout) -> list[str]:
    cautions = dict.fromkeys(
        f"Caution, {text(line, 'product', 'choice')}: {caution}" for line in due for caution in strings(line, "caution")
    )
    return [*layout.lines([_row(line) for line in due]), *(layout.screen.paragraph(caution) for caution in cautions)]


def _row(line: Fields) -> list[str]:
    return [
        text(line, "due"),
        text(line, "product", "choice"),
        *(text(line, name) for name in ("line", "state", "yours", "up_to", "asked", "filled")),
        _short(line),
        *(text(line, name) for name in ("bunches", "over")),
        sources(line),
    ]


def _short(line: Fields) -> str:
    asked, filled = number(line, "asked"), number(line, "filled")
    if asked is None or filled is None or filled >= asked:
        return MISSING
    return plain(asked - filled)


COMMAND = Command("bucket-list", "what goes into which bucket", _add_arguments, _ask, _show)
