"""`haulm`: reads the arguments, asks the service one thing, prints the answer, ends with a code scripts can trust."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence

import httpx

from haulm_cli.api import Service
from haulm_cli.commands import (
    accept_reply,
    at_home,
    availability,
    back_plan,
    batch,
    batch_forecast,
    bucket_list,
    claim,
    combined_plan,
    contract,
    cut,
    cut_list,
    decide,
    digest,
    fill_rate,
    health,
    hold,
    honesty,
    jobs,
    journal,
    mails,
    match,
    may_promise,
    next_year,
    options,
    order_list,
    outlook,
    own_figures,
    quote,
    record,
    release,
    renew,
    replies,
    season_end,
    shortfalls,
    store,
    take_back,
    tonight,
    usual_sales,
    walk,
    warnings,
    what_if,
    why,
)
from haulm_cli.commands.command import Command
from haulm_cli.exit_codes import ExitCode
from haulm_cli.problems import CallFailed, Problem
from haulm_cli.settings import DEFAULT_URL, NotAnAddress, is_this_computer, pass_header, service_url
from haulm_cli.tables import Screen
from haulm_cli.waiting import waiting
from haulm_cli.wire import Reply

COMMANDS: tuple[Command, ...] = tuple(
    module.COMMAND
    for module in (
        availability,
        may_promise,
        outlook,
        jobs,
        shortfalls,
        options,
        combined_plan,
        at_home,
        usual_sales,
        next_year,
        renew,
        order_list,
        quote,
        decide,
        hold,
        contract,
        release,
        what_if,
        bucket_list,
        match,
        why,
        walk,
        cut_list,
        tonight,
        warnings,
        cut,
        store,
        claim,
        fill_rate,
        season_end,
        record,
        batch,
        back_plan,
        batch_forecast,
        own_figures,
        honesty,
        replies,
        accept_reply,
        digest,
        mails,
        journal,
        take_back,
        health,
    )
)

# A first answer after a change draws its seasons anew, which may take a slow computer many seconds.
_PATIENCE = httpx.Timeout(120.0, connect=5.0)


def main(arguments: Sequence[str] | None = None, *, transport: httpx.BaseTransport | None = None) -> int:
    """Run one command; `transport` stands for the network where no service is to be reached."""
    parser = argument_parser()
    asked = parser.parse_args(arguments)
    try:
        url = service_url(asked.url, os.environ)
    except NotAnAddress as wrong:
        parser.error(str(wrong))
    _speak_safely(as_json=asked.json)
    try:
        return _run(asked, url, transport)
    except BrokenPipeError:
        # Whoever read our output has had enough of it; keep the interpreter's last flush quiet.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ExitCode.DONE
    except KeyboardInterrupt:
        return 130


def argument_parser() -> argparse.ArgumentParser:
    """All commands, each with `--json` and `--url`."""
    parser = argparse.ArgumentParser(
        prog="haulm",
        description="Stems, promises and gaps of a flower farm, asked of a running Haulm service.",
        epilog="Exit codes: 0 done, 1 refused, 2 usage, 3 no service, 4 the service's fault.",
        allow_abbrev=False,
    )
    parser.set_defaults(json=False, url=None)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for command in COMMANDS:
        added = commands.add_parser(
            command.name, help=command.summary, description=f"{command.summary.capitalize()}.", allow_abbrev=False
        )
        command.add_arguments(added)
        added.add_argument("--json", action="store_true", help="print the service's JSON unchanged")
        added.add_argument("--url", metavar="URL", help=f"the service (default: HAULM_URL, else {DEFAULT_URL})")
        added.set_defaults(chosen=command)
    return parser


def _run(asked: argparse.Namespace, url: str, transport: httpx.BaseTransport | None) -> int:
    command: Command = asked.chosen
    try:
        with (
            httpx.Client(
                base_url=url,
                headers=pass_header(os.environ),
                timeout=_PATIENCE,
                trust_env=not is_this_computer(url),
                transport=transport,
            ) as client,
            waiting(sys.stderr, url),
        ):
            reply = command.ask(Service(client), asked)
    except CallFailed as failed:
        return _say_failure(failed, as_json=asked.json)
    _say(reply, command, asked)
    return ExitCode.DONE


def _say(reply: Reply, command: Command, asked: argparse.Namespace) -> None:
    if asked.json:
        _print_unchanged(reply.text)
    else:
        print("\n".join(command.show(reply.body, asked, Screen.of(sys.stdout, os.environ))), flush=True)


def _say_failure(failed: CallFailed, *, as_json: bool) -> int:
    if as_json and isinstance(failed, Problem):
        _print_unchanged(failed.reply_text)
    print("\n".join(failed.lines(Screen.of(sys.stderr, os.environ))), file=sys.stderr)
    return failed.exit_code


def _print_unchanged(text: str) -> None:
    print(text, end="" if text.endswith("\n") or not text else "\n", flush=True)


def _speak_safely(*, as_json: bool) -> None:
    """JSON is always UTF-8; elsewhere a letter that the terminal lacks becomes a question mark, not a crash."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace", encoding="utf-8" if as_json else None)
