"""The shape of the tree: what lies where, how long a file and a function may be, what a module may be called."""

import ast
import io
import tokenize
from pathlib import Path

import pytest

from support.project_tree import ROOT, project_files, python_files, syntax_of, text_of

TOP_LEVEL = {
    ".ci",
    ".gitignore",
    ".pre-commit-config.yaml",
    "DEVELOPERS.md",
    "README.md",
    "client_cli",
    "docs",
    "fixtures",
    "pyproject.toml",
    "service",
    "tests",
}
LONGEST_FILE = 400
LONGEST_FUNCTION = 40
NAMES_THAT_SAY_NOTHING = {"common", "helper", "helpers", "manager", "managers", "misc", "util", "utils"}
# A migration is a list of statements from top to bottom, and is never changed once it has run somewhere.
MIGRATIONS = Path("service/haulm/store/schema/versions")
NOT_CODE = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENDMARKER}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def code_lines(text: str) -> set[int]:
    """The numbers of the lines that hold more than a comment."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    code = (token for token in tokens if token.type not in NOT_CODE)
    return {number for token in code for number in range(token.start[0], token.end[0] + 1)}


def functions(tree: ast.Module) -> list[Function]:
    """Every function of a file."""
    return [node for node in ast.walk(tree) if isinstance(node, Function)]


def span(function: Function) -> range:
    """The lines from the first to the last of a function."""
    return range(function.lineno, (function.end_lineno or 0) + 1)


def function_lengths(text: str) -> dict[str, int]:
    """The code lines of every function, its docstring left out."""
    lines = code_lines(text)
    lengths = {}
    for function in functions(ast.parse(text)):
        own = set(span(function))
        if ast.get_docstring(function) is not None:
            own -= set(range(function.body[0].lineno, (function.body[0].end_lineno or 0) + 1))
        lengths[function.name] = max(len(own & lines), lengths.get(function.name, 0))
    return lengths


def test_the_top_level_holds_what_the_house_plan_names_and_nothing_else() -> None:
    assert {path.parts[0] for path in project_files()} == TOP_LEVEL


@pytest.mark.parametrize(("folder", "package"), [("service", "haulm"), ("client_cli", "haulm_cli")])
def test_a_source_folder_holds_one_package_and_nothing_else(folder: str, package: str) -> None:
    inside = {path.parts[1] for path in project_files() if path.parts[0] == folder}

    assert inside == {package}
    assert (ROOT / folder / package / "__init__.py").is_file()


def test_every_folder_of_modules_is_a_package() -> None:
    folders = {path.parent for path in python_files("service", "client_cli")} - {MIGRATIONS, MIGRATIONS.parent}

    assert [folder for folder in sorted(folders) if not (ROOT / folder / "__init__.py").is_file()] == []


def test_no_tests_folder_is_a_package() -> None:
    assert [path for path in python_files("tests") if path.name == "__init__.py"] == []


def test_an_init_file_holds_a_docstring_and_nothing_else() -> None:
    inits = [path for path in python_files() if path.name == "__init__.py"]

    assert inits
    assert [path for path in inits if len(syntax_of(path).body) != 1 or not ast.get_docstring(syntax_of(path))] == []


def test_every_module_says_what_it_is_for() -> None:
    assert [path for path in python_files() if not ast.get_docstring(syntax_of(path))] == []


def test_no_module_has_a_name_that_says_nothing() -> None:
    assert [path for path in python_files() if NAMES_THAT_SAY_NOTHING & {*path.parent.parts, path.stem}] == []


def test_no_file_of_code_is_too_long() -> None:
    lengths = {path: len(text_of(path).splitlines()) for path in python_files()}

    assert {path: length for path, length in lengths.items() if length > LONGEST_FILE} == {}


def test_no_function_is_too_long() -> None:
    of_every_file = [path for path in python_files() if path.parent != MIGRATIONS]
    files = [
        path
        for path in of_every_file
        if max(map(len, map(span, functions(syntax_of(path)))), default=0) > LONGEST_FUNCTION
    ]
    lengths = {f"{path}: {name}": length for path in files for name, length in function_lengths(text_of(path)).items()}

    assert {name: length for name, length in lengths.items() if length > LONGEST_FUNCTION} == {}


def test_docstrings_comments_and_blank_lines_are_no_code() -> None:
    text = 'def f(\n    a: int,\n) -> int:\n    """Says.\n\n    More.\n    """\n\n    # why\n    return a\n'

    assert function_lengths(text) == {"f": 4}
