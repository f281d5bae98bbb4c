"""Write the catalogue of messages again: after a word that a person reads was added, changed or taken out.

python tests/support/catalogue_again.py
"""

from __future__ import annotations

import io
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

from support.project_tree import ROOT

CATALOGUE = ROOT / "service/haulm/language/catalogues/haulm.pot"
_KEYWORDS = {"_": None, "marked": None, "many": (1, 2), "one_or_more": (1, 2), "gettext": None, "ngettext": (1, 2)}
_READERS = [("**/templates/**.html", "jinja2"), ("**/templates/**.txt", "jinja2"), ("**.py", "python")]
_OPTIONS = {"**/templates/**.html": {"trimmed": "false", "silent": "false"}}


def catalogue() -> bytes:
    """Every message of the service with the files it stands in, in the order of the messages."""
    found = Catalog(project="Haulm", charset="utf-8", fuzzy=False)
    sources = ROOT / "service/haulm"
    for name, _line, message, _comments, context in extract_from_dir(
        str(sources), method_map=_READERS, options_map=_OPTIONS, keywords=_KEYWORDS
    ):
        found.add(message, locations=[(name, 0)], context=context)
    written = io.BytesIO()
    write_po(written, found, sort_output=True, omit_header=True, include_lineno=False)
    return written.getvalue()


def main() -> None:
    """Write it, and say how many messages there are."""
    text = catalogue()
    CATALOGUE.parent.mkdir(exist_ok=True)
    CATALOGUE.write_bytes(text)
    sys.stdout.write(f"{CATALOGUE.relative_to(ROOT)}: {text.count(b'msgid ')} messages\n")


if __name__ == "__main__":
    main()
