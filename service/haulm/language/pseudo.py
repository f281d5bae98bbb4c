"""A language of no country: English with other letters in brackets, to see which words nobody sent to be translated."""

from __future__ import annotations

import gettext
import re
from typing import Final

OPENS: Final = "\u27e6"
CLOSES: Final = "\u27e7"
_LETTERS = str.maketrans("aceinosuyACEINOSUY", "áçéíñóšúýÁÇÉÍÑÓŠÚÝ")
# Placeholders and tags are for programs, not for readers.
_FOR_PROGRAMS = re.compile(r"(%\(\w+\)[sd]|\{[^{}]*\}|<[^<>]+>|&\w+;)")


class PseudoTranslations(gettext.NullTranslations):
    """Translates every message into itself with other letters."""

    def gettext(self, message: str) -> str:
        """The message in brackets, its letters changed, placeholders and tags as they are."""
        parts = _FOR_PROGRAMS.split(message)
        # Every second part is one that was split at.
        changed = (part if place % 2 else part.translate(_LETTERS) for place, part in enumerate(parts))
        return f"{OPENS}{''.join(changed)}{CLOSES}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """One of two messages, as English has them."""
        return self.gettext(msgid1 if n == 1 else msgid2)
