"""The core says what its functions are: each has a docstring, arrays have shapes and units, formulas have sources."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from support.project_tree import core_files, syntax_of, text_of

Function = ast.FunctionDef | ast.AsyncFunctionDef
ARRAY = re.compile(r"\b(\w*Array|NDArray|ndarray)\b")
# Axes in brackets, such as (seasons, days) or (days,), or the word itself.
SHAPE = re.compile(r"\bshapes?\b|\(\w+(?:, ?\w+)*,?\)")
# A unit in brackets, such as [deg C d], or what is counted.
UNIT = re.compile(
    r"\[[^\]]+\]|\b(stems|counts?|weights?|shares?|fractions?|probabilit(?:y|ies)|index|indices|positions?|ordinals?"
    r"|days|hours|booleans?|true|false|masks?|ranks?|numbers?|order)\b",
    re.IGNORECASE,
)
SOURCE = re.compile(r"\bSources?\b|\bcommon practice\b|\bfrom memory\b", re.IGNORECASE)


def public_functions(path: Path) -> Iterator[tuple[str, Function]]:
    """The functions of a module, and the methods of its classes, whose names are for everybody."""
    module = syntax_of(path)
    classes = [node for node in module.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_")]
    for owner in (module, *classes):
        for node in owner.body:
            if isinstance(node, Function) and not node.name.startswith("_"):
                yield f"{path}:{node.lineno} {node.name}", node


def array_functions() -> Iterator[tuple[str, str]]:
    """The public core functions that take or return arrays, with their docstrings."""
    for path in core_files():
        for place, function in public_functions(path):
            arguments = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
            annotations = [argument.annotation for argument in arguments] + [function.returns]
            said = " ".join(ast.unparse(annotation) for annotation in annotations if annotation is not None)
            if ARRAY.search(said):
                yield place, ast.get_docstring(function) or ""


def test_every_public_function_of_the_core_has_a_docstring() -> None:
    functions = [found for path in core_files() for found in public_functions(path)]

    assert functions
    assert [place for place, function in functions if not ast.get_docstring(function)] == []


def test_a_core_function_of_arrays_says_their_shape() -> None:
    assert [place for place, docstring in array_functions() if not SHAPE.search(docstring)] == []


def test_a_core_function_of_arrays_says_their_unit() -> None:
    assert [place for place, docstring in array_functions() if not UNIT.search(docstring)] == []


def test_every_horticulture_module_names_where_its_formulas_come_from() -> None:
    modules = [path for path in core_files() if "horticulture" in path.parts]

    assert modules
    assert [path for path in modules if not SOURCE.search(text_of(path))] == []


def test_a_docstring_without_axes_or_unit_is_noticed() -> None:
    assert not SHAPE.search("Warmth above a base, day by day.")
    assert not UNIT.search("Warmth above a base.")
    assert SHAPE.search("Warmth (seasons, days) above a base [deg C d].")
    assert UNIT.search("Warmth (seasons, days) above a base [deg C d].")
