"""Print the rows of pages of reference that tests compare with the code, to be pasted where a test says they differ.

    python tests/support/rows_again.py [farm-folder | crop-library | journal | rest | problems]

Of routes and problems the words are a person's: printed is what the page must name, with what the code says of it.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import haulm
from haulm.errors import HaulmError
from haulm.farm_folder.columns import FILES
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.farms import grower_folder
from support.page_rows import column_row, kind_rows, library_rows, setting_rows


def farm_folder() -> Iterator[str]:
    """The tables of `docs/reference/farm-folder.md`, each under its heading."""
    yield "## farm.toml"
    yield from setting_rows()
    for spec in FILES:
        yield f"\n## {spec.name}"
        yield from (column_row(spec, column) for column in spec.columns)


def rest() -> Iterator[str]:
    """Every route with its summary, for `docs/reference/rest.md`."""
    with tempfile.TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        with Door(desk_over(store, grower_folder())) as door:
            paths = door.get("/openapi.json")["paths"]
        store.close()
    for path, methods in paths.items():
        for method, operation in methods.items():
            yield f"`{method.upper()} {path}`: {operation['description'].splitlines()[0]}"


def refusals() -> list[type[HaulmError]]:
    """Every class of refusal in the service, once all its modules are imported (the migrations run only in alembic)."""
    for module in pkgutil.walk_packages(haulm.__path__, "haulm."):
        if not module.name.startswith("haulm.store.schema."):
            importlib.import_module(module.name)
    return [found for found in _below(HaulmError) if found.__module__.startswith("haulm.")]


def _below(parent: type[HaulmError]) -> Iterator[type[HaulmError]]:
    for child in parent.__subclasses__():
        yield child
        yield from _below(child)


def problems() -> Iterator[str]:
    """Every problem type with what it is for, for the headings of `docs/reference/problems.md`."""
    for found in sorted(refusals(), key=lambda one: one.code):
        yield f"## {found.code}\n{(found.__doc__ or '').splitlines()[0]}"


PAGES: dict[str, Callable[[], Iterable[str]]] = {
    "farm-folder": farm_folder,
    "crop-library": library_rows,
    "journal": kind_rows,
    "rest": rest,
    "problems": problems,
}


def main(asked: list[str]) -> None:
    """Print the pages that are asked for, all of them unless said."""
    for name in asked or list(PAGES):
        sys.stdout.write(f"docs/reference/{name}.md\n\n" + "\n".join(PAGES[name]()) + "\n\n")


if __name__ == "__main__":
    main(sys.argv[1:])
