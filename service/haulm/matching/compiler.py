"""The compiler of the match's inner loops, where it is installed: the extra `fast`."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

IS_COMPILED = find_spec("numba") is not None
"""Whether the compiler is there."""


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function, compiled when it is first called and kept on disk; as it is where there is no compiler.

    What is kept is made again when the function's own file changes, not when another does: functions that call one
    another belong into one file.
    """
    if not IS_COMPILED:
        return function
    njit = import_module("numba").njit
    found: Callable[P, R]
    try:
        found = njit(cache=True, nogil=True)(function)
    except RuntimeError:  # no folder to keep it in
        found = njit(nogil=True)(function)
    return found
