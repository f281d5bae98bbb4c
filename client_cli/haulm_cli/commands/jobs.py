"""`haulm jobs`: what closes gaps, the dearest to wait with first, and what is due on the farm this week."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from haulm_cli.api import Service
from haulm_cli.commands.command import Command
from haulm_cli.fields import Fields, day, items, text
from haulm_cli.tables import Screen
from haulm_cli.wire import Reply


def _add_arguments(parser: ArgumentParser) -> None:
    """It takes none."""


def _ask(service: Service, asked: Namespace) -> Reply:
    return service.jobs()


def _show(body: Fields, asked: Namespace, screen: Screen) -> list[str]:
    jobs, work = items(body, "jobs"), items(body, "work")
    if not jobs and not work:
        return ["Nothing is due, and nothing is short."]
    lines: list[str] = []
    if jobs:
        lines += [screen.heading("About what is short"), *(line for job in jobs for line in _job(job, screen)), ""]
    if work:
        lines += [screen.heading("Due on the farm"), *(screen.paragraph(_work(one)) for one in work)]
    return lines


def _job(job: Fields, screen: Screen) -> list[str]:
    said = [text(job, name) for name in ("missed", "sentence", "whose") if job.get(name)]
    later = " It is still to be worked out for the farm as it is now." if job.get("pending") is True else ""
    return [screen.paragraph(" ".join(said) + later)]


def _work(task: Fields) -> str:
    return f"{day(task, 'date')}: {text(task, 'sentence')}"


COMMAND = Command("jobs", "what to do about what is short, and what is due this week", _add_arguments, _ask, _show)
