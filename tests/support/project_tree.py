"""The project's own files, for the tests that hold the house rules: all but git's and what .gitignore names."""

import ast
import os
from fnmatch import fnmatch
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CORE_ROOMS = ("farm", "horticulture", "demand", "forecast", "matching", "advice")


@cache
def project_files() -> tuple[Path, ...]:
    """Every file of the project, relative to its top folder, in order."""
    ignored = [".git", *(line.rstrip("/") for line in (ROOT / ".gitignore").read_text().split())]

    def kept(names: list[str]) -> list[str]:
        return [name for name in names if not any(fnmatch(name, pattern) for pattern in ignored)]

    found = []
    for folder, folders, names in os.walk(ROOT):
        folders[:] = kept(folders)
        found += [Path(folder, name).relative_to(ROOT) for name in kept(names)]
    return tuple(sorted(found))


def python_files(*tops: str) -> list[Path]:
    """The Python files under some top folders; under all of them where none is named."""
    return [path for path in project_files() if path.suffix == ".py" and (not tops or path.parts[0] in tops)]


def core_files() -> list[Path]:
    """The modules of the core rooms, without their `__init__.py`."""
    rooms = [Path("service/haulm", room) for room in CORE_ROOMS]
    modules = [path for path in python_files("service") if path.name != "__init__.py"]
    return [path for path in modules if any(path.is_relative_to(room) for room in rooms)]


def text_of(path: Path) -> str:
    """The text of a project file; bytes that are not text come out as question marks."""
    return (ROOT / path).read_text(encoding="utf-8", errors="replace")


@cache
def syntax_of(path: Path) -> ast.Module:
    """The syntax tree of a Python file of the project."""
    return ast.parse(text_of(path), filename=str(path))
