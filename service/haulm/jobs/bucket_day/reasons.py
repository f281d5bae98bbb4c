"""Why a settled line gets fewer stems than were settled."""

from __future__ import annotations

from enum import StrEnum

from haulm.language.words import marked


class Reason(StrEnum):
    """Why a settled line gets fewer stems, which says where they are."""

    NEVER_CUT = marked("never cut")
    THROWN = "thrown"
    BACK_IN_STORE = marked("back in the store")
