"""What all commands share: help, `--json`, the address, plain output, and few libraries."""

import ast
import io
import os
import re
import subprocess
import sys
from argparse import ArgumentParser
from pathlib import Path
from time import sleep

import httpx
import pytest

from haulm_cli.exit_codes import ExitCode
from haulm_cli.program import COMMANDS, argument_parser
from haulm_cli.settings import is_this_computer
from haulm_cli.tables import Screen
from haulm_cli.waiting import waiting
from support.canned_service import Client, problem
from support.project_tree import ROOT, python_files, syntax_of

PAGE = (ROOT / "docs" / "reference" / "client.md").read_text(encoding="utf-8")
ONE_OF_EACH = {
    "availability": [],
    "may-promise": ["ammi", "--due", "2027-08-12"],
    "outlook": [],
    "jobs": [],
    "shortfalls": [],
    "options": ["g1"],
    "combined-plan": [],
    "at-home": [],
    "usual-sales": [],
    "next-year": [],
    "renew": [],
    "order-list": [],
    "quote": ["--date", "2027-08-14", "--line", "ammi=5"],
    "decide": [],
    "hold": ["q1", "--until", "2027-03-01"],
    "contract": ["q1"],
    "release": ["q1"],
    "what-if": ["--pause", "weekly"],
    "bucket-list": ["2027-08-09"],
    "match": ["--from", "2027-08-09", "--to", "2027-08-15"],
    "why": ["line-1", "--due", "2027-08-12"],
    "walk": [],
    "cut-list": ["2027-08-09"],
    "tonight": ["hail"],
    "warnings": ["cut"],
    "cut": ["40", "--variety", "ammi"],
    "store": [],
    "claim": [],
    "fill-rate": [],
    "season-end": [],
    "record": ["frost"],
    "batch": ["ammi", "--sow", "2027-03-15", "--method", "direct", "--sown", "9"],
    "back-plan": ["ammi", "2027-W32", "60"],
    "batch-forecast": ["lagurus-2"],
    "own-figures": [],
    "honesty": [],
    "replies": [],
    "accept-reply": ["12"],
    "digest": [],
    "mails": [],
    "journal": [],
    "take-back": ["118"],
    "health": [],
}


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Always."""
        return True


def parser_of(name: str) -> ArgumentParser:
    """The parser of one command."""
    (commands,) = (action for action in argument_parser()._actions if isinstance(action.choices, dict))
    assert isinstance(commands.choices, dict)
    found = commands.choices[name]
    assert isinstance(found, ArgumentParser)
    return found


def own_options(name: str) -> set[str]:
    """The options of a command, without those that every command has."""
    options = {option for action in parser_of(name)._actions for option in action.option_strings}
    return options - {"-h", "--help", "--json", "--url"}


def test_every_command_is_tried_here() -> None:
    assert list(ONE_OF_EACH) == [command.name for command in COMMANDS]


@pytest.mark.parametrize("name", ONE_OF_EACH)
def test_every_command_has_help_for_itself_and_for_every_argument(name: str) -> None:
    parser = parser_of(name)

    assert parser.description
    assert [action.dest for action in parser._actions if not action.help] == []


@pytest.mark.parametrize("name", ONE_OF_EACH)
def test_with_json_the_services_answer_is_printed_unchanged(client: Client, name: str) -> None:
    answer = '{"rows": [],   "lines" :[],"née":"\\u00e9", "n": 1.10}'

    ended = client.run(name, *ONE_OF_EACH[name], "--json", answers=[httpx.Response(200, text=answer)])

    assert (ended.code, ended.out, ended.err) == (0, answer + "\n", "")


@pytest.mark.parametrize("name", ONE_OF_EACH)
def test_an_answer_of_unknown_fields_only_is_shown_without_a_crash(client: Client, name: str) -> None:
    ended = client.shows(name, *ONE_OF_EACH[name], body={"later": [1, {"version": True}], "lines": [3], "text": 5})

    assert ended.out.strip()


@pytest.mark.parametrize("name", ONE_OF_EACH)
def test_every_command_can_be_refused(client: Client, name: str) -> None:
    ended = client.run(name, *ONE_OF_EACH[name], answers=[problem(404, detail="There is no such thing.")])

    assert (ended.code, ended.out, ended.err) == (1, "", "There is no such thing.\n")


def test_with_json_a_refusal_goes_to_the_script_and_its_sentence_to_the_reader(client: Client) -> None:
    ended = client.run("digest", "--json", answers=[problem(403, detail="Not for you.")])

    assert (ended.code, ended.out, ended.err) == (1, '{"detail": "Not for you."}\n', "Not for you.\n")


def test_health_is_asked_outside_the_versioned_routes(client: Client) -> None:
    ended = client.shows("health", body={"status": "ok"})

    assert (ended.asked, ended.out) == ("GET /healthz", "The service answers. It says: ok.\n")


def test_the_address_is_the_argument_then_the_setting_then_this_computer(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = client.shows("digest", body={}).requests[0].url
    monkeypatch.setenv("HAULM_URL", "https://farm.example/haulm/")
    set_once = client.shows("digest", body={}).requests[0].url
    said = client.shows("digest", "--url", "http://[::1]:81", body={}).requests[0].url

    assert str(usual) == "http://127.0.0.1:8000/v1/digest"
    assert str(set_once) == "https://farm.example/haulm/v1/digest"
    assert str(said) == "http://[::1]:81/v1/digest"


@pytest.mark.parametrize(
    ("url", "here"),
    [
        ("http://127.0.0.1:8000", True),
        ("http://localhost", True),
        ("http://[::1]:1", True),
        ("http://farm.example", False),
    ],
)
def test_a_proxy_is_never_asked_for_this_computer(url: str, here: bool) -> None:
    assert is_this_computer(url) is here


def test_bold_type_needs_a_terminal_that_has_not_said_no() -> None:
    assert Screen.of(Terminal(), {}).bold
    assert not Screen.of(Terminal(), {"NO_COLOR": "1"}).bold
    assert not Screen.of(Terminal(), {"TERM": "dumb"}).bold
    assert not Screen.of(io.StringIO(), {}).bold


def test_no_name_can_steer_the_terminal(client: Client) -> None:
    body = {"customers": [{"customer": "\x1b[31mred\x07", "lines": [{"product": "a\nb"}]}]}

    out = client.shows("bucket-list", "2027-08-09", body=body).out

    assert "\x1b" not in out
    assert "\x07" not in out
    assert "a b" in out


def test_a_long_call_says_once_that_it_waits_but_only_to_a_terminal() -> None:
    for stream, said in ((Terminal(), "Waiting for the service at http://farm.example ...\n"), (io.StringIO(), "")):
        with waiting(stream, "http://farm.example", patience_seconds=0.01):
            deadline = 200
            while said and not stream.getvalue() and deadline:
                sleep(0.01)
                deadline -= 1
        assert stream.getvalue() == said


def test_a_short_call_says_nothing() -> None:
    stream = Terminal()

    with waiting(stream, "http://farm.example", patience_seconds=60):
        pass

    assert stream.getvalue() == ""


def test_the_client_stands_on_the_standard_library_and_one_http_library() -> None:
    imported = set()
    for path in python_files("client_cli"):
        for node in ast.walk(syntax_of(path)):
            if isinstance(node, ast.Import):
                imported |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0, path
                imported.add(str(node.module).partition(".")[0])

    assert imported - sys.stdlib_module_names == {"httpx", "haulm_cli"}


def test_the_package_runs_as_a_module() -> None:
    environment = {**os.environ, "PYTHONPATH": str(Path(ROOT, "client_cli"))}

    ran = subprocess.run(
        [sys.executable, "-m", "haulm_cli", "--help"], capture_output=True, text=True, env=environment, check=False
    )

    assert (ran.returncode, ran.stderr) == (0, "")
    assert [command.name for command in COMMANDS if command.name not in ran.stdout] == []


@pytest.mark.parametrize("name", ONE_OF_EACH)
def test_the_page_names_every_command_with_every_option(name: str) -> None:
    _, heading, section = PAGE.partition(f"\n### {name}\n")
    section = section.partition("\n### ")[0].partition("\n## ")[0]

    assert heading
    assert [option for option in own_options(name) if option not in section] == []


def test_the_page_tells_every_exit_code() -> None:
    told = re.findall(r"^\| (\d) \|", PAGE, re.MULTILINE)

    assert [int(code) for code in told] == list(ExitCode)
    assert all(option in PAGE for option in ("--json", "--url", "HAULM_URL", "NO_COLOR"))
