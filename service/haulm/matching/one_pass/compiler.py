"""The compiler of the match's inner loops, where it is installed: the extra `fast`."""

from __future__ import annotations

import os
from collections.abc import Callable
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from shutil import rmtree
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

_HERE = Path(__file__).parent
_SOURCES = ("arrays.py", "down_the_order.py", "flow_rows.py", "row_loops.py", "rows.py")
"""What compiled code is made from."""


def folder_for_compiled(base: Path, sources: Path = _HERE) -> Path:
    """Where compiled code is kept: apart for each version of its sources, since old code may not even be readable.

    Args:
        base: the folder in which it is a folder; those of other versions there are removed.
        sources: the folder of the sources.
    """
    version = sha256(b"".join((sources / name).read_bytes() for name in _SOURCES)).hexdigest()[:16]
    folder = base / f"compiled-{version}"
    for other in base.glob("compiled-*"):
        if other != folder:
            rmtree(other, ignore_errors=True)
    return folder


def _compiler() -> Any:
    """The compiler, told where to keep its work; None where it is not installed, or does not go with this numpy."""
    try:
        numba = import_module("numba")
    except ImportError:
        return None
    chosen = numba.config.CACHE_DIR
    if chosen or os.access(_HERE, os.W_OK):
        numba.config.CACHE_DIR = str(folder_for_compiled(Path(chosen) / "haulm" if chosen else _HERE / "__pycache__"))
    return numba


_NUMBA = _compiler()
_NJIT: Any = None if _NUMBA is None else _NUMBA.njit
_KEPT_IN = Path(_NUMBA.config.CACHE_DIR) if _NUMBA is not None and _NUMBA.config.CACHE_DIR else None
IS_COMPILED = _NUMBA is not None
"""Whether the compiler is there."""


def is_to_compile() -> bool:
    """Whether there is a compiler, and nothing of this version is kept on disk yet."""
    return IS_COMPILED and _KEPT_IN is not None and not any(_KEPT_IN.rglob("*.nbc"))


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function, compiled when it is first called and kept on disk; as it is where there is no compiler.

    Functions that call one another may be in several files, all of which `_SOURCES` names: what is kept does not look
    at other files than its own.
    """
    if not IS_COMPILED:
        return function
    found: Callable[P, R]
    try:
        found = _NJIT(cache=True, nogil=True)(function)
    except RuntimeError:  # no folder to keep it in
        found = _NJIT(nogil=True)(function)
    return found
