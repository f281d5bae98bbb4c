"""The press: a template and plain values become a PDF.

What was typed reaches a template only as values of a JSON text, so that nothing of it can be markup. The same values
give the same bytes: no clock and no network has a part in it. The PDF is tagged, has a title and a language (PDF/UA-1);
where a script has no glyphs in any font of this computer it is tagged all the same, without claiming that standard.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

import typst

_STANDARD = "ua-1"


def pressed(template: str, data: Mapping[str, Any]) -> bytes:
    """A PDF.

    Args:
        template: the name of a file in `paper/templates`, without `.typ`.
        data: what it prints: strings, numbers, booleans, lists and mappings of these; `title`, `farm` and `size`
            (`a4` or `us-letter`) are wanted by every template.

    Returns:
        The bytes of the PDF; the same for the same data.
    """
    inputs = {"data": json.dumps(data, ensure_ascii=False, allow_nan=False).encode("utf-8", "replace").decode()}
    with resources.as_file(resources.files("haulm.paper") / "templates") as folder:
        try:
            return _compiled(folder, template, inputs, _STANDARD)
        except typst.TypstError:
            # A glyph that no font has is against the standard; a fault of the template comes back the second time.
            return _compiled(folder, template, inputs, None)


def _compiled(folder: Path, template: str, inputs: dict[str, str], standard: Any) -> bytes:
    made = typst.compile(
        folder / f"{template}.typ",
        root=folder,
        font_paths=_fonts(),
        sys_inputs=inputs,
        pdf_standards=[] if standard is None else standard,
    )
    assert isinstance(made, bytes), "a PDF is one file"
    return made


@cache
def _fonts() -> typst.Fonts:
    """The fonts inside the library, then those of this computer for scripts that they lack."""
    return typst.Fonts()
