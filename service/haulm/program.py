"""`haulm-service`: the program of whoever keeps the farm's computer; the one module that knows every room."""

from __future__ import annotations

import argparse
import getpass
import importlib.util
import io
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from haulm.settings import Settings
    from haulm.store.store import Store

DONE, REFUSED, USAGE, INTERRUPTED = 0, 1, 2, 130
_NEEDED = ("platformdirs", "numpy", "pydantic", "sqlmodel", "alembic", "fastapi", "uvicorn", "jinja2")
"""What only the `service` extra brings; looked for and not loaded, so that a slip of the keys is told at once."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code: 0 done, 1 refused, 2 usage, 130 interrupted."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a name that the terminal cannot show stops nothing
    missing = next((name for name in _NEEDED if importlib.util.find_spec(name) is None), None)
    if missing is not None:
        sys.stderr.write(f"haulm-service needs {missing}: install it with pip install 'haulm[service]'.\n")
        return REFUSED
    from haulm.errors import HaulmError
    from haulm.settings import settings_from

    given = argument_parser().parse_args(arguments)
    try:
        run: Callable[[argparse.Namespace, Settings], int] = given.run
        return run(given, settings_from(os.environ))
    except HaulmError as refusal:
        for sentence in _sentences(refusal):
            sys.stderr.write(f"{sentence}\n")
        return REFUSED
    except BrokenPipeError:
        # Whoever read the output has read enough; nothing may be written when Python flushes at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return REFUSED
    except OSError as fault:
        sys.stderr.write(f"{fault.filename or given.command}: {fault.strerror or fault}.\n")
        return REFUSED
    except KeyboardInterrupt:
        sys.stderr.write(f"{given.command}: stopped before it was done.\n")
        return INTERRUPTED


def argument_parser() -> argparse.ArgumentParser:
    """The commands of `haulm-service`."""
    parser = argparse.ArgumentParser(prog="haulm-service", description="Haulm's service and its upkeep.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    demo = commands.add_parser("demo", help="an invented farm in a throw-away database: the three jobs, then serve")
    demo.add_argument("--once", action="store_true", help="print and exit instead of serving")
    demo.add_argument("--port", type=_port, default=8000)
    demo.add_argument("--first-year", action="store_true", help="the same farm without the three seasons it had before")
    demo.set_defaults(run=_demo)

    serve = commands.add_parser("serve", help="serve the farm on this computer")
    serve.add_argument("--host", default="127.0.0.1")
    serve.add_argument("--port", type=_port, default=8000)
    serve.set_defaults(run=_serve)

    rehearsal = commands.add_parser(
        "rehearse", help="let the demo farm live through some weeks, its mails kept as files"
    )
    rehearsal.add_argument("folder", type=Path, metavar="FOLDER")
    rehearsal.add_argument("--weeks", type=int, choices=range(1, 27), default=8, metavar="N")
    rehearsal.set_defaults(run=_rehearse)

    _add_doors(commands)
    _add_upkeep(commands)
    return parser


def _add_doors(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    password = commands.add_parser("password", help="set the password of the owner or a farm hand")
    password.add_argument("--role", choices=("owner", "hand"), default="owner")
    password.set_defaults(run=_password)

    token = commands.add_parser("token", help="give a program such as haulm a token to show")
    token.add_argument("--role", choices=("owner", "hand"), default="owner")
    token.add_argument("--end-all", action="store_true", help="instead, end every token of this role")
    token.set_defaults(run=_token)

    for name, what in (("person", "print all that is kept of a customer"), ("forget", "erase it for good")):
        person = commands.add_parser(name, help=what)
        person.add_argument("key", metavar="KEY")
        person.set_defaults(run=_person)


def _add_upkeep(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    commands.add_parser("migrate", help="make the tables, or bring them up to date").set_defaults(run=_migrate)

    importing = commands.add_parser("import", help="read a farm folder, all or nothing")
    importing.add_argument("folder", type=Path, metavar="FOLDER")
    importing.add_argument("--replace", action="store_true", help="make the farm what the folder says")
    importing.add_argument("--discard", action="store_true", help="with --replace: take out what the folder lacks")
    wins = importing.add_mutually_exclusive_group()
    wins.add_argument("--folder-wins", action="store_true", help="where both were changed, the folder is right")
    wins.add_argument("--farm-wins", action="store_true", help="where both were changed, the farm is right")
    importing.set_defaults(run=_import)

    exporting = commands.add_parser("export", help="write the farm as a folder")
    exporting.add_argument("folder", type=Path, metavar="FOLDER")
    exporting.set_defaults(run=_export)

    template = commands.add_parser("template", help="write a blank farm folder to fill in")
    template.add_argument("folder", type=Path, metavar="FOLDER")
    template.set_defaults(run=_template)

    backup = commands.add_parser("backup", help="copy the database to a file")
    backup.add_argument("file", type=Path, metavar="FILE")
    backup.set_defaults(run=_backup)

    restore = commands.add_parser("restore", help="put a backup in place of the database")
    restore.add_argument("file", type=Path, metavar="FILE")
    restore.set_defaults(run=_restore)

    digest = commands.add_parser("digest", help="print today's early warning")
    digest.add_argument("--send", action="store_true", help="queue it as a mail to the farm as well")
    digest.set_defaults(run=_digest)

    again = commands.add_parser("judge-again", help="list promises that today's rule would answer otherwise")
    again.set_defaults(run=_judge_again)

    post = commands.add_parser("post", help="do what is due and post mail, as a process of its own")
    post.add_argument("--once", action="store_true", help="do it once and end")
    post.set_defaults(run=_post)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 6 and int(text) < 65536):
        raise argparse.ArgumentTypeError(f"found '{text}'; accepted is a port from 0 to 65535")
    return int(text)


def _sentences(refusal: Exception) -> list[str]:
    """A refusal's sentence, and every fault of a folder on a line of its own."""
    from haulm.farm_folder.faults import FolderRefused

    if isinstance(refusal, FolderRefused):
        return [*(str(fault) for fault in refusal.faults), "Nothing was written."]
    return [str(refusal)]


def _opened(settings: Settings) -> Store:
    """The store of the settings, made or brought up to date where it is empty."""
    from haulm.store.store import Store

    store = Store.open(settings.database_url)
    if store.is_empty():
        store.migrate()
    return store


@contextmanager
def _ending_gently() -> Iterator[None]:
    """Lets a request to end from the system do what Ctrl-C does, so that nothing throw-away is left behind."""

    def interrupt(_number: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _serve(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.quotes.keep_prices import keep_prices
    from haulm.opening import desk_over
    from haulm.serving import listening, require_password, serve

    desk = desk_over(_opened(settings), settings)
    keep_prices(desk)
    require_password(desk, settings, given.host)
    with _ending_gently(), listening(given.host, given.port) as door:
        serve(desk, settings, door)
    return DONE


def _rehearse(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.rehearsal import rehearse

    with _ending_gently():
        rehearse(given.folder, weeks=given.weeks)
    return DONE


def _password(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.farm.let_in import set_password
    from haulm.opening import desk_over
    from haulm.store.words import DoorRole

    asked = getpass.getpass(f"New password of the {given.role}: ") if sys.stdin.isatty() else sys.stdin.readline()
    set_password(desk_over(_opened(settings), settings), DoorRole(given.role), asked.rstrip("\r\n"))
    print(f"The password of the {given.role} is set. Whoever was logged in has to log in again.")
    return DONE


def _token(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.farm.let_in import end_tokens, give_token
    from haulm.opening import desk_over
    from haulm.store.words import DoorRole

    desk, role = desk_over(_opened(settings), settings), DoorRole(given.role)
    if given.end_all:
        ended = end_tokens(desk, role)
        print(f"Ended: {ended} token{'' if ended == 1 else 's'} of the {role}.")
        return DONE
    token = give_token(desk, role)
    print(f"HAULM_TOKEN={token}")
    print("It is shown once, holds a year, and ends when the password of its role is set anew.")
    return DONE


def _demo(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.demonstration import demo

    with _ending_gently():
        demo(settings, port=None if given.once else given.port, first_year=given.first_year)
    return DONE


def _migrate(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.quotes.keep_prices import keep_prices
    from haulm.opening import desk_over
    from haulm.store.store import Store

    store = Store.open(settings.database_url)
    store.migrate()
    keep_prices(desk_over(store, settings))
    print("The tables are up to date.")
    return DONE


def _import(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.farm.import_farm import import_farm
    from haulm.opening import clock

    store = _opened(settings)
    is_empty = store.is_empty()
    if not is_empty and not given.replace:
        return _bring_in(given, settings, store)
    if not is_empty:
        _before_replacing(given, settings, store)
    found = import_farm(
        store,
        given.folder,
        replace=given.replace,
        actor="program",
        now=datetime.now(UTC),
        today=clock(store, settings),
    )
    rows = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in found.rows.items() if count)
    print(f"{found.name}: imported {rows or 'the farm itself'}.")
    for warning in found.warnings:
        sys.stderr.write(f"Note: {warning}\n")
    return DONE


def _bring_in(given: argparse.Namespace, settings: Settings, store: Store) -> int:
    from haulm.jobs.farm.bring_in_folder import Wins, bring_in_folder
    from haulm.jobs.farm.brought_words import brought_in_words
    from haulm.opening import desk_over

    wins = Wins.FOLDER if given.folder_wins else Wins.FARM if given.farm_wins else None
    found = bring_in_folder(desk_over(store, settings), given.folder, actor="program", wins=wins)
    for sentence in brought_in_words(found):
        print(sentence)
    for warning in found.warnings:
        sys.stderr.write(f"Note: {warning}\n")
    return DONE


def _before_replacing(given: argparse.Namespace, settings: Settings, store: Store) -> None:
    """Say what a folder would take out, and keep a backup of what is there."""
    from haulm.jobs.farm.replace_from_folder import check_discards
    from haulm.jobs.warning.keep_backups import folder_made

    gone = check_discards(store, given.folder, may_discard=given.discard)
    file = folder_made(settings.backup_folder) / f"before-replace-{datetime.now(UTC):%Y%m%d-%H%M%S}.backup"
    store.backup(file)
    print(f"A backup is in {file}.")
    for row in gone:
        print(f"Taken out: {row}.")


def _export(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.farm.import_farm import export_farm

    farm = export_farm(_opened(settings), given.folder, now=datetime.now(UTC))
    print(f"{farm.site.name}: written to {given.folder}.")
    return DONE


def _template(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.farm_folder.template import write_template

    write_template(given.folder)
    print(f"A blank farm folder is in {given.folder}: fill it in, then haulm-service import {given.folder}")
    return DONE


def _backup(given: argparse.Namespace, settings: Settings) -> int:
    _opened(settings).backup(given.file)
    print(f"The database is copied to {given.file}.")
    return DONE


def _restore(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.store.store import Store

    version = Store.open(settings.database_url).restore(given.file, actor="program", now=datetime.now(UTC))
    print(f"The database is as it was in {given.file}; the farm is at version {version}.")
    return DONE


def _digest(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.gaps.follow_jobs import work_out_jobs
    from haulm.jobs.growing.keep_forecast import kept_this_week
    from haulm.jobs.warning.digest_text import digest_text
    from haulm.jobs.warning.send_digest import last_letter, send_digest
    from haulm.jobs.warning.warn_early import warn_early
    from haulm.opening import desk_over

    desk = desk_over(_opened(settings), settings)
    work_out_jobs(desk)
    found = send_digest(desk, "program") if given.send else warn_early(desk, last_letter(desk))
    print(digest_text(found), end="")
    kept_this_week(desk, actor="program")
    return DONE


def _person(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.opening import desk_over
    from haulm.people_commands import COMMANDS

    print(COMMANDS[given.command](desk_over(_opened(settings), settings), given.key))
    return DONE


def _judge_again(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.promises.judge_again import judge_again
    from haulm.opening import desk_over

    def progress(done: int, of: int) -> None:
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{done} of {of} entries")

    found = list(judge_again(desk_over(_opened(settings), settings), progress))
    if sys.stderr.isatty():
        sys.stderr.write("\r\033[K")
    for promise in found:
        print(promise.sentence)
    print(f"{len(found) or 'No'} promise{'' if len(found) == 1 else 's'} would be answered otherwise.")
    return DONE


def _post(given: argparse.Namespace, settings: Settings) -> int:
    from haulm.jobs.warning.run_due import run_due
    from haulm.mail.post import post_once
    from haulm.opening import desk_over
    from haulm.serving import links_of, post_office, post_worker

    desk = desk_over(_opened(settings), settings)
    links = links_of(desk, settings)
    if given.once:
        office = post_office(settings, links)
        done = run_due(desk, writes_letters=office.carrier is not None)
        tried = post_once(desk, office)
        print(f"Done: {', '.join(done) or 'nothing was due'}. Letters tried: {tried}.")
        return DONE
    worker = post_worker(desk, settings, links)
    with _ending_gently():
        worker.start()
        with suppress(KeyboardInterrupt):
            threading.Event().wait()
        worker.stop()
    return DONE


if __name__ == "__main__":
    sys.exit(main())
