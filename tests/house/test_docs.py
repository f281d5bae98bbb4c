"""The documents are whole: links lead somewhere, pages are linked, commands, settings and routes are described."""

import argparse
import re
from pathlib import Path
from typing import Any, cast

import pytest

from haulm.farm_folder.reader import read_texts
from haulm.jobs.desk.desk import Desk
from haulm.program import argument_parser
from haulm.rest.app import create_app
from support.project_tree import ROOT, project_files, python_files, text_of

PAGES = [path for path in project_files() if path.suffix == ".md"]
REFERENCE = Path("docs/reference")
INDEXES = ("README.md", "docs/README.md")
LINK = re.compile(r"\]\(([^)\s]+)\)")
EXAMPLE_FILE = re.compile(r"^`([a-z_]+\.(?:csv|toml))`:\n\n```\w*\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def links(page: Path) -> list[tuple[Path, str]]:
    """The links of a page that stay in the project: the file each leads to, and the heading in it or nothing."""
    found = [link.partition("#") for link in LINK.findall(text_of(page)) if ":" not in link]
    return [((ROOT / page.parent / file).resolve() if file else ROOT / page, heading) for file, _, heading in found]


def anchors(file: Path) -> set[str]:
    """The names under which the headings of a page can be linked."""
    headings = re.findall(r"^#+ (.+)$", file.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def commands_of(parser: argparse.ArgumentParser) -> set[str]:
    """The names of a program's commands."""
    choices = [action.choices for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    return {name for group in choices for name in group}


def route_paths() -> set[str]:
    """The paths that the application answers, as its own description names them."""
    # A desk that is never sat at: the description needs no farm.
    described: dict[str, Any] = create_app(cast(Desk, None)).openapi()
    return set(described["paths"])


@pytest.mark.parametrize("page", PAGES, ids=str)
def test_every_link_leads_to_a_page_and_a_heading_that_are_there(page: Path) -> None:
    lost = [
        f"{file}#{heading}"
        for file, heading in links(page)
        if not file.exists() or (heading and heading not in anchors(file))
    ]

    assert lost == []


def test_every_page_of_the_documents_is_linked_from_an_index() -> None:
    linked = {file for index in INDEXES for file, _ in links(Path(index))}
    pages = {ROOT / page for page in PAGES if page.parts[0] == "docs"} - {ROOT / index for index in INDEXES}

    assert len(pages) > 10
    assert sorted(pages - linked) == []


def test_every_command_of_the_service_is_described() -> None:
    page = text_of(REFERENCE / "programs.md")
    commands = commands_of(argument_parser())

    assert {"demo", "serve", "import"} <= commands
    assert [name for name in sorted(commands) if f"haulm-service {name}" not in page or f"`{name}`" not in page] == []


def test_every_command_described_is_there() -> None:
    command = re.compile(r"haulm-service ([a-z]+(?:-[a-z]+)*)\b(?! which)")
    described = {name for page in PAGES for name in command.findall(text_of(page))}

    assert described - commands_of(argument_parser()) == set()


def test_every_setting_of_the_programs_is_on_the_page_of_settings() -> None:
    settings = {name for path in python_files("service", "client_cli") for name in setting_names(text_of(path))}

    assert "HAULM_DATABASE_URL" in settings
    assert settings - setting_names(text_of(REFERENCE / "settings.md")) == set()


def test_every_setting_on_the_page_of_settings_is_read_somewhere() -> None:
    read = {name for path in python_files() if "house" not in path.parts for name in setting_names(text_of(path))}

    assert setting_names(text_of(REFERENCE / "settings.md")) - read == set()


def setting_names(text: str) -> set[str]:
    """The names of settings in a text."""
    return set(re.findall(r"\bHAULM_[A-Z]+(?:_[A-Z]+)*\b", text))


def test_every_route_is_on_the_page_of_routes_and_no_other() -> None:
    described = set(re.findall(r"`(?:[A-Z]+ )?(/v1/[^`?\s]*)`", text_of(REFERENCE / "rest.md")))
    routes = {path for path in route_paths() if path.startswith("/v1/")}

    assert len(routes) > 10
    assert described == routes


@pytest.mark.parametrize("page", [page for page in PAGES if EXAMPLE_FILE.search(text_of(page))], ids=str)
def test_a_farm_shown_in_the_documents_can_be_read(page: Path) -> None:
    files = {name: content.encode() for name, content in EXAMPLE_FILE.findall(text_of(page))}

    assert len(files) > 1
    assert read_texts(files).site.name
