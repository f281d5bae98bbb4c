"""The confidence that somebody asks for: a share of the seasons, or none where each line has its own."""

from __future__ import annotations

from haulm.errors import NotAccepted
from haulm.language.words import _


def check_level(level: float) -> None:
    """Refuse a confidence that is no share of the seasons.

    Raises:
        NotAccepted: it is not above 0 and below 1.
    """
    if not 0 < level < 1:
        raise NotAccepted(
            where="confidence", found=f"{level:g}", accepted=_("a share above 0 and below 1, such as 0.8")
        )


def checked_level(level: float | None) -> float | None:
    """The confidence asked; None where each line is judged at its own level.

    Raises:
        NotAccepted: the confidence is no share.
    """
    if level is not None:
        check_level(level)
    return level
