"""`haulm tonight`: before frost, heat or hail, what to cut first, for whom it is, and what a cover would save."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.commands.warned import care_lines
from haulm_cli.fields import Fields, items, strings, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply

_PARTS = (
    ("Cover", "cover"),
    ("Kept as sure by what is cut", "rescued"),
    ("Less sure all the same", "struck"),
    ("Closed beds", "closed"),
)


def _add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("threat", nargs="?", default="frost", choices=("frost", "heat", "hail"), help="what comes")
    parser.add_argument("--min-c", type=float, metavar="DEGREES", help="how cold it gets, deg C; -1 unless said")


def _ask(service: Service, asked: Namespace) -> Reply:
    cold = {} if asked.min_c is None else {"min_c": asked.min_c}
    return service.tonight({"threat": asked.threat, **cold})


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    lines = [screen.heading(text(body, "head")), ""]
    rows = items(body, "cut")
    if rows:
        lines += [screen.heading("Cut first"), *(line for row in rows for line in _row(row, screen)), ""]
    else:
        lines += ["Nothing that stands ready would be lost.", ""]
    for title, name in _PARTS:
        if said := strings(body, name):
            lines += [screen.heading(title), *(screen.paragraph(one) for one in said), ""]
    if body.get("lost"):
        lines += [screen.paragraph(text(body, "lost")), ""]
    return [*lines, *(screen.paragraph(one) for one in (*strings(body, "general"), *care_lines(body)))]


def _row(row: Fields, screen: Screen) -> list[str]:
    said = [text(row, name) for name in ("stands", "keeps", "by_day", "rest") if row.get(name)]
    whom = strings(row, "for_whom")
    return [
        screen.paragraph(f"{text(row, 'name')}, {text(row, 'beds')}: {'; '.join(said)}."),
        *(screen.paragraph(f"For {one}.") for one in whom),
    ]


COMMAND = Command("tonight", "what to cut before frost, heat or hail", _add_arguments, _ask, _show)
