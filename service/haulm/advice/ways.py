"""What was worked out of a gap, to be kept: the ways to close it, and why no sowing does."""

from __future__ import annotations

from dataclasses import dataclass

from haulm.advice.options.option import Option


@dataclass(frozen=True, slots=True)
class Ways:
    """The ways that can still help a gap.

    Attributes:
        options: the ways, the recommended one first; telling is always one of them.
        why_open: why no sowing closes the gap, in one sentence; None where one does, and is worth it.
    """

    options: tuple[Option, ...]
    why_open: str | None

    @property
    def recommended(self) -> Option:
        """The way that is recommended."""
        return self.options[0]
