"""Why a settled line gets fewer stems than were settled."""

from __future__ import annotations

from enum import StrEnum


class Reason(StrEnum):
    """Why a settled line gets fewer stems, which says where they are."""

    NEVER_CUT = "never cut"
    THROWN = "thrown"
    BACK_IN_STORE = "back in the store"
