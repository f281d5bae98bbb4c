"""The rules of kept answers (`haulm/kept.py`): what keeps an answer, by what key, and within what bound."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from support.project_tree import python_files, syntax_of

MECHANISM = Path("service/haulm/kept.py")
FILES = [path for path in python_files("service") if path != MECHANISM]
# Passes that live for one call; what they keep follows from what they were made from.
ONE_CALL = {("service/haulm/matching/other_lines.py", "_Rerun"), ("service/haulm/matching/tryout.py", "Tryout")}

Found = Iterator[str]


def name_of(node: ast.expr) -> str:
    """The name that is called or put on as a decorator, whatever it is a part of."""
    if isinstance(node, ast.Call):
        return name_of(node.func)
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def numbers_of_objects(tree: ast.AST) -> Found:
    """Uses of `id`, which names another object once the first is let go."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and node.id == "id" and isinstance(node.ctx, ast.Load):
            yield f"line {node.lineno}: id"


def other_keepers(tree: ast.AST) -> Found:
    """Keepers of answers that are none of the three."""
    for node in ast.walk(tree):
        names = [alias.name for alias in node.names] if isinstance(node, ast.ImportFrom | ast.Import) else []
        yield from (name for name in names if name in ("lru_cache", "WeakKeyDictionary"))


def constants_that_ask(tree: ast.AST) -> Found:
    """Functions under `cache` that take arguments: they would keep an answer for each, without a bound."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and any(name_of(one) == "cache" for one in node.decorator_list):
            arguments = node.args
            if arguments.args or arguments.posonlyargs or arguments.kwonlyargs or arguments.vararg or arguments.kwarg:
                yield node.name


def changing_keepers(tree: ast.AST) -> Found:
    """Classes with a `cached_property` that are no frozen dataclass, so that what it follows from may change."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef) and any(map(is_cached, node.body)) and not is_frozen(node):
            yield node.name


def is_cached(node: ast.stmt) -> bool:
    return isinstance(node, ast.FunctionDef) and any(name_of(one) == "cached_property" for one in node.decorator_list)


def is_frozen(node: ast.ClassDef) -> bool:
    words = [word for one in node.decorator_list if isinstance(one, ast.Call) for word in one.keywords]
    return any(word.arg == "frozen" and isinstance(word.value, ast.Constant) and word.value.value for word in words)


def dicts_of_a_module(tree: ast.Module) -> Found:
    """Empty dicts at the top of a module: somebody fills them, and nobody empties them."""
    for node in tree.body:
        value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
        if (isinstance(value, ast.Dict) and not value.keys) or (
            isinstance(value, ast.Call) and name_of(value) == "dict"
        ):
            yield f"line {node.lineno}: dict"


RULES = (numbers_of_objects, other_keepers, constants_that_ask, dicts_of_a_module)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_nothing_is_kept_by_another_way(rule: object) -> None:
    assert callable(rule)
    found = {str(path): list(rule(syntax_of(path))) for path in FILES}
    assert {path: names for path, names in found.items() if names} == {}


def test_only_a_frozen_value_keeps_what_follows_from_itself() -> None:
    found = {(str(path), name) for path in FILES for name in changing_keepers(syntax_of(path))}
    assert found <= ONE_CALL


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        (numbers_of_objects, "known[id(line)] = 1"),
        (numbers_of_objects, "list(map(id, lines))"),
        (other_keepers, "from functools import lru_cache"),
        (constants_that_ask, "@cache\ndef of(text): ..."),
        (constants_that_ask, "@functools.cache\ndef of(*, text): ..."),
        (changing_keepers, "class A:\n    @cached_property\n    def of(self): ..."),
        (changing_keepers, "@dataclass(frozen=False)\nclass A:\n    @cached_property\n    def of(self): ..."),
        (dicts_of_a_module, "_KNOWN: dict[str, int] = {}"),
    ],
)
def test_a_rule_finds_what_breaks_it(rule: object, text: str) -> None:
    assert callable(rule)
    assert len(list(rule(ast.parse(text)))) == 1


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        (numbers_of_objects, "row.id"),
        (constants_that_ask, "@cache\ndef of(): ..."),
        (changing_keepers, "@dataclass(frozen=True, eq=False)\nclass A:\n    @cached_property\n    def of(self): ..."),
        (dicts_of_a_module, "NAMES = {'a': 1}"),
    ],
)
def test_a_rule_lets_the_rest_be(rule: object, text: str) -> None:
    assert callable(rule)
    assert list(rule(ast.parse(text))) == []
