"""Writing a farm as its canonical folder: the same farm gives the same bytes, and a folder is never half written."""

from __future__ import annotations

import csv
import io
import shutil
import uuid
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from haulm.farm.snapshot import Farm
from haulm.farm_folder.column import FileSpec
from haulm.farm_folder.columns import FILE_BY_NAME, FILES, SITE_FILE
from haulm.farm_folder.faults import FolderNotWritten
from haulm.farm_folder.site_file import site_text


def write_folder(farm: Farm, folder: Path) -> None:
    """Write a farm as a folder, in the place of a farm folder that may stand there; dot-files in it stay.

    Raises:
        FolderNotWritten: something else stands there, or the disk refuses; what stood there still stands.
    """
    place_files(folder_texts(farm), folder, may_replace=True)


def folder_texts(farm: Farm) -> dict[str, bytes]:
    """The canonical files of a farm by name: farm.toml, and a CSV file for each collection that has rows."""
    texts = {SITE_FILE: site_text(farm.site).encode()}
    for spec in FILES:
        rows = getattr(farm, spec.collection)
        if rows:
            texts[spec.name] = table_bytes(spec, rows)
    return texts


def table_bytes(spec: FileSpec, rows: Sequence[Any]) -> bytes:
    """One canonical CSV file: LF, least quoting, nothing where a default stands; no rare column that no row uses."""
    header, columns = [], []
    for column in spec.columns:
        text = column.kind.text
        values = [getattr(row, column.name) for row in rows]
        if column.name in spec.required:
            cells = [text(value) for value in values]
        else:
            default = spec.defaults[column.name]
            cells = ["" if value is None or value == default else text(value) for value in values]
        if not (rows and column.rare) or any(cells):
            header.append(column.name)
            columns.append(cells)
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_MINIMAL, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(zip(*columns, strict=True))
    return out.getvalue().encode()


def place_files(files: Mapping[str, bytes], folder: Path, *, may_replace: bool) -> None:
    """Put files into a folder all at once: they are written beside it and then take its place.

    Raises:
        FolderNotWritten: the folder holds anything, other than a farm folder where that may be replaced, or the disk
            refuses.
    """
    folder = folder.resolve()
    new = folder.parent / f".{folder.name}.{uuid.uuid4().hex}.new"
    try:
        _refuse_others(folder, may_replace=may_replace)
        new.mkdir(parents=True)
        for name, content in files.items():
            (new / name).write_bytes(content)
        _take_place(new, folder)
    except OSError as error:
        raise FolderNotWritten(folder=str(folder), reason=error.strerror or str(error)) from None
    finally:
        shutil.rmtree(new, ignore_errors=True)


def _refuse_others(folder: Path, *, may_replace: bool) -> None:
    if not folder.exists():
        return
    if not folder.is_dir():
        raise FolderNotWritten(folder=str(folder), reason="a file of that name stands there")
    names = {path.name for path in folder.iterdir() if not path.name.startswith(".")}
    if names and not may_replace:
        raise FolderNotWritten(folder=str(folder), reason="it is not empty")
    others = sorted(names - FILE_BY_NAME.keys() - {SITE_FILE})
    if others or (names and SITE_FILE not in names):
        what = f"it holds {others[0]}" if others else f"it has no {SITE_FILE}"
        raise FolderNotWritten(folder=str(folder), reason=f"it is not empty and no farm folder: {what}")


def _take_place(new: Path, folder: Path) -> None:
    """Rename the new folder into its place; the old one goes only once the new one stands."""
    if not folder.exists():
        new.rename(folder)
        return
    old = new.with_suffix(".old")
    folder.rename(old)
    try:
        new.rename(folder)
    except OSError:
        old.rename(folder)
        raise
    for path in old.iterdir():
        if path.name.startswith("."):
            path.rename(folder / path.name)
    shutil.rmtree(old)
