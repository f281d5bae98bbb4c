"""Which refusals a function may end in, read from the source: its own, and those of what it calls, less what is caught.

Names are looked up where the function stands; what is called on a value is found by the value's declared class. A call
that cannot be told so raises nothing here, which is why what routes answer in tests is held against their lists too.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
import types
import typing
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from haulm.errors import HaulmError

Kinds = frozenset[type[HaulmError]]


def raised_by(functions: Iterable[Callable[..., Any]]) -> dict[Any, Kinds]:
    """What each of these functions, and each that they come to call, may end in."""
    parts: dict[Any, _Part] = {}
    waiting = [inspect.unwrap(one) for one in functions]
    while waiting:
        one = waiting.pop()
        if one not in parts:
            parts[one] = _Body(one).part
            waiting += parts[one].all_called()
    found = dict.fromkeys(parts, Kinds())
    is_new = True
    while is_new:
        now = {one: part.ends(found) for one, part in parts.items()}
        is_new, found = now != found, now
    return found


@dataclass
class _Part:
    """A part of a function: what it raises, whom it calls, and the parts in it whose refusals are caught."""

    raised: set[type[HaulmError]] = field(default_factory=set)
    called: set[Any] = field(default_factory=set)
    tried: list[_Tried] = field(default_factory=list)

    def all_called(self) -> set[Any]:
        """Whom it calls, what is tried included."""
        inner = (part for one in self.tried for part in (one.part, *(part for _, part in one.handlers)))
        return self.called.union(*(part.all_called() for part in inner))

    def ends(self, found: Mapping[Any, Kinds]) -> Kinds:
        """What it ends in, given what those that it calls end in."""
        called = (found[one] for one in self.called)
        return Kinds(self.raised).union(*called, *(one.ends(found) for one in self.tried))


@dataclass
class _Tried:
    """A part whose refusals are caught, and what is done with those of some classes."""

    part: _Part
    caught: tuple[type, ...]
    handlers: list[tuple[tuple[type, ...], _Part]]

    def ends(self, found: Mapping[Any, Kinds]) -> Kinds:
        """What gets through, and what the handlers that have something to do end in."""
        tried = self.part.ends(found)
        through = Kinds(kind for kind in tried if not issubclass(kind, self.caught))
        busy = (part.ends(found) for kinds, part in self.handlers if _may_come(kinds, tried))
        return through.union(*busy)


def _may_come(caught: tuple[type, ...], tried: Kinds) -> bool:
    """Whether a handler may have something to do: a refusal that is known to come, or another library's exception."""
    others = [kind for kind in caught if not issubclass(kind, HaulmError)]
    return bool(others) or any(issubclass(kind, caught) for kind in tried)


class _Body:
    """One function's source, with the names and the classes of values that it knows."""

    def __init__(self, function: Any) -> None:
        self._tree = _tree(function)
        self._names = {**getattr(function, "__globals__", {}), **_closed_over(function)}
        self._kinds = _parameters(function)
        for node in ast.walk(self._tree):
            self._note(node)
        self.part = _Part()
        for node in self._tree.body:
            self._fill(self.part, node)

    def _fill(self, part: _Part, node: ast.AST) -> None:
        if isinstance(node, ast.Try):
            self._try(part, node)
            return
        part.called.update(self._meant(node))
        if isinstance(node, ast.Raise) and node.exc is not None:
            part.raised.update(self._made(node.exc))
        for child in ast.iter_child_nodes(node):
            self._fill(part, child)

    def _try(self, part: _Part, node: ast.Try) -> None:
        inner, handlers = self._filled(node.body), list[tuple[tuple[type, ...], _Part]]()
        for handler in node.handlers:
            handlers.append((tuple(self._classes(handler.type)), self._filled(handler.body)))
        caught = tuple(kind for handler in node.handlers for kind in self._caught(handler))
        part.tried.append(_Tried(inner, caught, handlers))
        for child in (*node.orelse, *node.finalbody):
            self._fill(part, child)

    def _filled(self, nodes: Iterable[ast.AST]) -> _Part:
        part = _Part()
        for node in nodes:
            self._fill(part, node)
        return part

    def _caught(self, handler: ast.ExceptHandler) -> Iterator[type]:
        """What ends with a handler; one that may raise it again lets it through."""
        if not any(isinstance(part, ast.Raise) and part.exc is None for part in ast.walk(handler)):
            yield from self._classes(handler.type)

    def _made(self, node: ast.expr) -> Kinds:
        if isinstance(node, ast.BoolOp):
            return Kinds().union(*(self._made(one) for one in node.values))
        kind = self.kind(node.func if isinstance(node, ast.Call) and self._is_class(node.func) else node)
        value = self._value(node.func if isinstance(node, ast.Call) else node)
        kind = value if inspect.isclass(value) else kind
        return Kinds((kind,)) if inspect.isclass(kind) and issubclass(kind, HaulmError) else Kinds()

    def _is_class(self, node: ast.expr) -> bool:
        return inspect.isclass(self._value(node))

    def _classes(self, node: ast.expr | None) -> Iterator[type]:
        for part in node.elts if isinstance(node, ast.Tuple) else [node]:
            value = BaseException if part is None else self._value(part)
            if inspect.isclass(value):
                yield value

    def _meant(self, node: ast.AST) -> list[Any]:
        """The functions of the service that a name or an attribute means."""
        if not isinstance(node, ast.Name | ast.Attribute):
            return []
        return [one for value in self._values(node) for one in _functions(value)]

    def _values(self, node: ast.Name | ast.Attribute) -> Iterator[Any]:
        value = self._value(node)
        if value is not None:
            yield value
        elif isinstance(node, ast.Attribute):
            owner = self.kind(node.value)
            yield getattr(owner, "__dict__", {}).get(node.attr) if owner is None else _member(owner, node.attr)

    def _value(self, node: ast.expr) -> Any:
        """What a name means where the function stands; None for a value of its own."""
        if isinstance(node, ast.Name):
            return None if node.id in self._kinds else self._names.get(node.id)
        if isinstance(node, ast.Attribute):
            owner = self._value(node.value)
            return getattr(owner, node.attr, None) if isinstance(owner, types.ModuleType | type) else None
        return None

    def kind(self, node: ast.expr) -> Any:
        """The class of a value, where it is declared."""
        if isinstance(node, ast.Name):
            return self._kinds.get(node.id, _of_value(self._names.get(node.id)))
        if isinstance(node, ast.Attribute):
            owner = self.kind(node.value)
            return None if owner is None else _declared(owner, node.attr)
        if isinstance(node, ast.Call):
            value = self._value(node.func)
            if inspect.isclass(value):
                return value
            if value is None and isinstance(node.func, ast.Attribute):
                owner = self.kind(node.func.value)
                value = None if owner is None else _member(owner, node.func.attr)
            return _returned(value)
        return None

    def _note(self, node: ast.AST) -> None:
        if isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name):
            self._learn(node.targets[0].id, self.kind(node.value))
        elif isinstance(node, ast.withitem) and isinstance(node.optional_vars, ast.Name):
            self._learn(node.optional_vars.id, self.kind(node.context_expr))
        elif isinstance(node, ast.ExceptHandler) and node.name is not None:
            self._learn(node.name, next(self._classes(node.type), None))

    def _learn(self, name: str, kind: Any) -> None:
        if kind is not None:
            self._kinds.setdefault(name, kind)


@cache
def _tree(function: Any) -> ast.FunctionDef | ast.AsyncFunctionDef | ast.Module:
    module = ast.parse(textwrap.dedent(inspect.getsource(function)))
    first = module.body[0]
    return first if isinstance(first, ast.FunctionDef | ast.AsyncFunctionDef) else module


def _closed_over(function: Any) -> dict[str, Any]:
    cells = getattr(function, "__closure__", None) or ()
    return dict(zip(function.__code__.co_freevars, (cell.cell_contents for cell in cells), strict=True))


def _parameters(function: Any) -> dict[str, Any]:
    found = {name: kind for name, hint in _hints(function).items() if (kind := _plain(hint)) is not None}
    found.pop("return", None)
    owner = _owner(function)
    return {"self": owner, "cls": owner, **found} if owner is not None else found


def _owner(function: Any) -> Any:
    name, _, _ = function.__qualname__.rpartition(".")
    return getattr(inspect.getmodule(function), name, None) if name and "<" not in name else None


@cache
def _hints(of: Any) -> dict[str, Any]:
    try:
        return typing.get_type_hints(of)
    except (NameError, TypeError, AttributeError):
        return {}


def _plain(hint: Any) -> Any:
    """The one class of the service that a declaration names."""
    if inspect.isclass(hint) and not typing.get_args(hint):
        return hint if hint.__module__.startswith("haulm.") else None
    return next((kind for part in typing.get_args(hint) if (kind := _plain(part)) is not None), None)


def _of_value(value: Any) -> Any:
    kind = type(value)
    return kind if kind.__module__.startswith("haulm.") else None


def _member(owner: Any, name: str) -> Any:
    return inspect.getattr_static(owner, name, None)


def _declared(owner: Any, name: str) -> Any:
    member = _member(owner, name)
    if isinstance(member, property):
        return _returned(member.fget)
    hint = _hints(owner).get(name)
    return _plain(hint) if hint is not None else _given_at_start(owner, name)


@cache
def _given_at_start(owner: Any, name: str) -> Any:
    """The class of an attribute that the start of an object takes from a parameter."""
    start = _member(owner, "__init__")
    if not inspect.isfunction(start) or not _is_ours(start):
        return None
    for node in ast.walk(_tree(start)):
        target = node.targets[0] if isinstance(node, ast.Assign) else None
        if isinstance(target, ast.Attribute) and target.attr == name and isinstance(node, ast.Assign):
            made = node.value.func if isinstance(node.value, ast.Call) else node.value
            if isinstance(made, ast.Name):
                return _plain(_hints(start).get(made.id) or start.__globals__.get(made.id))
    return None


def _returned(value: Any) -> Any:
    inner = value.__func__ if isinstance(value, classmethod | staticmethod) else value
    inner = inspect.unwrap(inner) if callable(inner) else inner
    return _plain(_hints(inner).get("return")) if inspect.isfunction(inner) else None


def _functions(value: Any) -> Iterator[Any]:
    if isinstance(value, property):
        yield from _functions(value.fget)
    elif isinstance(value, classmethod | staticmethod | types.MethodType):
        yield from _functions(value.__func__)
    elif inspect.isclass(value) and value.__module__.startswith("haulm.") and not issubclass(value, HaulmError):
        for name in ("__init__", "__post_init__", "__call__"):
            yield from _functions(vars(value).get(name))
    elif callable(value):
        inner = inspect.unwrap(value)
        if inspect.isfunction(inner) and _is_ours(inner):
            yield inner


def _is_ours(function: types.FunctionType) -> bool:
    """Whether the service's source has it; what dataclasses make has none."""
    return function.__module__.startswith("haulm.") and not function.__code__.co_filename.startswith("<")
