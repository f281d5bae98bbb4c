"""`haulm honesty`: what was said, as it was said, against what came."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, items, number, percent, text
from haulm_cli.tables import Column, Screen, table
from haulm_cli.wire import Reply

_COLUMNS = (Column("said", right=True), Column("kept", right=True), Column("promises", right=True))


def _add_arguments(parser: ArgumentParser) -> None:
    """The board takes no argument of its own."""


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.honesty()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    promises = items(body, "promises")
    lines = [screen.paragraph(text(level, "sentence")) for level in promises]
    if not promises:
        lines = [screen.paragraph("No promise has fallen due yet: there is nothing to judge.")]
    points = items(body, "reliability")
    if points:
        rows = [[_share(point, "stated"), _share(point, "kept"), text(point, "count")] for point in points]
        lines += ["", *table(_COLUMNS, rows, screen)]
    return [*lines, *_weeks(body, screen)]


def _weeks(body: Fields, screen: Screen) -> list[str]:
    lines: list[str] = []
    for name, level in (("within_80", "80 %"), ("within_50", "50 %")):
        judged = body.get(name)
        if isinstance(judged, dict) and judged.get("decided"):
            said = f"Of {text(judged, 'decided')} forecast weeks, {text(judged, 'held')} came inside the {level} range."
            lines.append(screen.paragraph(said))
    skill = number(body, "skill_over_weeks_rule")
    if skill is not None:
        better = "less" if skill >= 0 else "more"
        lines.append(screen.paragraph(f"The forecast missed {percent(abs(skill))} {better} than the plain weeks rule."))
    return ["", *lines] if lines else []


def _share(point: Fields, name: str) -> str:
    value = number(point, name)
    return "-" if value is None else percent(value)


COMMAND = Command("honesty", "what was said against what came", _add_arguments, _ask, _show)
