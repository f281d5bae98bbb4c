"""Reading a farm folder: every file, every row, every fault, then one refusal or one Farm."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from haulm.errors import NotAccepted
from haulm.farm.cross_checks import Unread, cross_faults
from haulm.farm.faults import Fault, quoted
from haulm.farm.row_checks import row_faults
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm_folder.column import Column, FileSpec
from haulm.farm_folder.columns import FILE_BY_NAME, FILES, SITE_FILE
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.site_file import document_from_bytes, site_from_bytes
from haulm.farm_folder.tables import Table, table_from_bytes
from haulm.kept import answers

_FILES_KEPT = 32


def read_folder(folder: Path) -> Farm:
    """The farm in a folder; files whose names begin with a dot are passed over.

    Raises:
        FolderRefused: the folder cannot be read, or anything in it is not accepted.
    """
    return _read(*_files_in(folder)).farm


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder as it was read.

    Attributes:
        farm: what its rows and its settings say, defaults where it says nothing.
        columns: the columns that it has, by collection.
        document: the settings that it says, as its farm.toml has them.
    """

    farm: Farm
    columns: Mapping[str, tuple[str, ...]]
    document: Mapping[str, Any]


def read_beside(folder: Path, beside: Farm) -> Folder:
    """The farm in a folder whose rows may name rows of another farm, the one that it is brought into.

    Raises:
        FolderRefused: the folder cannot be read, or anything in it is not accepted.
    """
    return _read(*_files_in(folder), beside=beside)


def _files_in(folder: Path) -> tuple[dict[str, bytes], tuple[Fault, ...]]:
    files = {}
    faults = []
    try:
        for path in sorted(folder.iterdir()):
            if path.name.startswith("."):
                continue
            if path.is_dir():
                faults.append(Fault(path.name, None, None, "a folder", _known_files()))
            else:
                files[path.name] = path.read_bytes()
    except OSError as error:
        accepted = f"a folder that can be read, with a {SITE_FILE}"
        faults.append(Fault(str(error.filename or folder), None, None, error.strerror or "nothing", accepted))
        raise FolderRefused(faults=tuple(faults)) from None
    return files, tuple(faults)


def read_texts(files: Mapping[str, bytes]) -> Farm:
    """The farm in files given by name, such as those of an upload.

    Raises:
        FolderRefused: anything in them is not accepted.
    """
    return _read({name: content for name, content in files.items() if not name.startswith(".")}, ()).farm


def _read(files: Mapping[str, bytes], faults: tuple[Fault, ...], *, beside: Farm | None = None) -> Folder:
    unknown = sorted(files.keys() - FILE_BY_NAME.keys() - {SITE_FILE})
    found = [*faults, *(Fault(name, None, None, "an unknown file", _known_files()) for name in unknown)]
    site, site_refusals = _site(files)
    found += site_refusals
    parts = {spec.collection: _file_part(spec.name, files[spec.name]) for spec in FILES if spec.name in files}
    for part in parts.values():
        found += part.faults
    # The site plays no part in the checks of rows against each other: a stand-in serves where it was refused.
    rows: dict[str, Any] = {collection: part.rows for collection, part in parts.items()}
    farm = Farm(site or Site("", 0.0), **rows)
    unread = Unread(
        keys=_keys_beside(beside, {collection: part.broken_keys for collection, part in parts.items()}),
        whole=frozenset(collection for collection, part in parts.items() if part.is_unread),
    )
    found += (_in_file(fault, parts[fault.place].numbers) for fault in cross_faults(farm, unread))
    if found:
        raise FolderRefused(faults=tuple(found))
    headers = {spec.collection: parts[spec.collection].header for spec in FILES if spec.collection in parts}
    return Folder(farm, headers, document_from_bytes(files[SITE_FILE]))


def _keys_beside(beside: Farm | None, broken: Mapping[str, frozenset[str]]) -> Mapping[str, frozenset[str]]:
    """The keys that rows may name though the folder gives no sound row for them."""
    if beside is None:
        return broken
    known = {spec.collection: getattr(beside, spec.collection) for spec in FILES if "key" in spec.header}
    return {name: broken.get(name, frozenset()) | frozenset(row.key for row in rows) for name, rows in known.items()}


def _site(files: Mapping[str, bytes]) -> tuple[Site | None, tuple[Fault, ...]]:
    if SITE_FILE not in files:
        return None, (Fault(SITE_FILE, None, None, "no such file", "format = 1, name and latitude at least"),)
    return site_from_bytes(files[SITE_FILE])


def _known_files() -> str:
    return f"one of {', '.join((SITE_FILE, *FILE_BY_NAME))}"


@dataclass(frozen=True, slots=True)
class _FilePart:
    """What one file gives: rows without faults of form, their row numbers, and what could not be read."""

    rows: tuple[Any, ...] = ()
    numbers: tuple[int, ...] = ()
    broken_keys: frozenset[str] = frozenset()
    is_unread: bool = False
    faults: tuple[Fault, ...] = ()
    header: tuple[str, ...] = ()


@answers(_FILES_KEPT)
def _file_part(name: str, content: bytes) -> _FilePart:
    """One file, kept by its bytes: an upload that is tried again, file by file mended, reads only what changed."""
    spec = FILE_BY_NAME[name]
    table, table_faults = table_from_bytes(name, content)
    header_faults = () if table is None else tuple(_column_faults(spec, table))
    if table is None or header_faults:
        return _FilePart(is_unread=True, faults=(*table_faults, *header_faults))
    values, cell_faults = _values(spec, table)
    broken = {fault.row for fault in cell_faults}
    sound = [index for index, number in enumerate(table.numbers) if number not in broken] if broken else None
    rows = tuple(map(spec.noun, *(_picked(column, sound) for column in values)))
    numbers = tuple(_picked(table.numbers, sound))
    own = tuple(_in_file(fault, numbers) for fault in row_faults(spec.collection, rows))
    faults = sorted((*table_faults, *cell_faults, *own), key=lambda fault: fault.row or 0)
    keys = frozenset(key for key, number in zip(_keys(table), table.numbers, strict=True) if number in broken)
    return _FilePart(
        rows, numbers, keys, is_unread=bool(table_faults), faults=tuple(faults), header=tuple(table.header)
    )


def _keys(table: Table) -> Sequence[str]:
    return table.columns[table.header.index("key")] if "key" in table.header else [""] * len(table.numbers)


def _picked(values: Sequence[Any], indexes: Sequence[int] | None) -> Sequence[Any]:
    return values if indexes is None else [values[index] for index in indexes]


def _column_faults(spec: FileSpec, table: Table) -> Iterator[Fault]:
    for name in table.header:
        if name and name not in spec.header:
            accepted = f"one of {', '.join(spec.header)}"
            yield Fault(spec.name, 1, name, f"the unknown column {quoted(name)}", accepted)
    for name in spec.header:
        if name in spec.required and name not in table.header:
            yield Fault(spec.name, 1, name, "no such column", f"a column {name}: {_column(spec, name).kind.accepted}")


def _column(spec: FileSpec, name: str) -> Column:
    return spec.columns[spec.header.index(name)]


def _values(spec: FileSpec, table: Table) -> tuple[list[Sequence[Any]], list[Fault]]:
    """The values of each field of the noun, and the faults of cells; a row with a fault is not to be used."""
    values: list[Sequence[Any]] = []
    faults: list[Fault] = []
    for column in spec.fields:
        default = spec.defaults.get(column.name)
        if column.name not in table.header:
            values.append([default] * len(table.numbers))
            continue
        cells: Sequence[str] = table.columns[table.header.index(column.name)]
        if table.has_semicolons and column.kind.has_decimals:
            cells = [cell.replace(",", ".") for cell in cells]
        parsed = _parsed(column, cells, default, is_required=column.name in spec.required)
        if parsed is None:
            parsed, column_faults = _parsed_singly(spec, column, cells, table.numbers)
            faults += column_faults
        values.append(parsed)
    return values, faults


def _parsed(column: Column, cells: Sequence[str], default: Any, *, is_required: bool) -> list[Any] | None:
    """The values of a whole column, or None where any cell is at fault: the usual case stays one quick pass."""
    if is_required and not all(cells):
        return None
    parse = column.kind.parse
    try:
        return [parse(cell) if cell else default for cell in cells]
    except (ValueError, NotAccepted):
        return None


def _parsed_singly(
    spec: FileSpec, column: Column, cells: Sequence[str], numbers: Sequence[int]
) -> tuple[list[Any], list[Fault]]:
    values: list[Any] = []
    faults = []
    for number, cell in zip(numbers, cells, strict=True):
        value, accepted = _parsed_cell(spec, column, cell)
        values.append(value)
        if accepted is not None:
            found = quoted(cell) if cell else "nothing"
            faults.append(Fault(spec.name, number, column.name, found, accepted))
    return values, faults


def _parsed_cell(spec: FileSpec, column: Column, cell: str) -> tuple[Any, str | None]:
    """The value of a cell, and what would have been accepted where it is at fault."""
    if not cell:
        return spec.defaults.get(column.name), column.kind.accepted if column.name in spec.required else None
    try:
        return column.kind.parse(cell), None
    except NotAccepted as refusal:
        return None, refusal.accepted
    except ValueError:
        return None, column.kind.accepted


def _in_file(fault: Fault, numbers: Sequence[int]) -> Fault:
    row = None if fault.row is None else numbers[fault.row]
    return dataclasses.replace(fault, place=f"{fault.place}.csv", row=row)
