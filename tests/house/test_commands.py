"""The commands in the documents are the commands of the gate, and every setting is documented."""

import re
from pathlib import Path

from support.project_tree import ROOT, project_files, python_files, text_of

ONCE = " --once"


def gate_commands() -> list[str]:
    """The commands of the gate, in order."""
    lists = re.findall(r"<<'COMMANDS'\n(.*?)^COMMANDS$", text_of(Path(".ci/run")), re.DOTALL | re.MULTILINE)
    return "".join(lists).splitlines()


def code_blocks(document: str) -> list[list[str]]:
    """The fenced blocks of a document, each as its lines, without blank lines and comments."""
    blocks = re.findall(r"^```\w*\n(.*?)^```$", (ROOT / document).read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)
    return [[line for line in block.splitlines() if line and not line.startswith("#")] for block in blocks]


def test_the_guide_for_developers_shows_the_commands_of_the_gate() -> None:
    commands = gate_commands()

    assert len(commands) > 5
    assert commands in code_blocks("DEVELOPERS.md")


def test_the_gate_runs_the_two_commands_of_the_readme() -> None:
    to_see_it, to_test_it = [block[0] for block in code_blocks("README.md") if ".venv/bin/pip install" in block[0]]

    assert to_see_it.endswith("demo")
    assert to_see_it + ONCE in gate_commands()
    assert to_test_it == gate_commands()[0]


def test_the_documents_name_every_setting() -> None:
    settings = {name for path in python_files("service", "client_cli") for name in find_settings(text_of(path))}
    documents = [path for path in project_files() if path.suffix == ".md"]
    named = {name for path in documents for name in find_settings(text_of(path))}

    assert "HAULM_DATABASE_URL" in settings
    assert settings - named == set()


def find_settings(text: str) -> list[str]:
    """The names of settings in a text."""
    return re.findall(r"\bHAULM_[A-Z]+(?:_[A-Z]+)*\b", text)
