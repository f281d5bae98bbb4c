"""The compiler of the match's inner loops, where it is installed: the extra `fast`."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


def _compiler() -> Any:
    """What makes a function a compiled one; None where it is not installed, or does not go with this numpy."""
    try:
        return import_module("numba").njit
    except ImportError:
        return None


_NJIT = _compiler()
IS_COMPILED = _NJIT is not None
"""Whether the compiler is there."""


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function, compiled when it is first called and kept on disk; as it is where there is no compiler.

    What is kept is made again when the function's own file changes, not when another does: functions that call one
    another belong into one file.
    """
    if not IS_COMPILED:
        return function
    found: Callable[P, R]
    try:
        found = _NJIT(cache=True, nogil=True)(function)
    except RuntimeError:  # no folder to keep it in
        found = _NJIT(nogil=True)(function)
    return found
