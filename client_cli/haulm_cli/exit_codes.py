"""What the client's exit codes mean; scripts rely on the numbers."""

from __future__ import annotations

from enum import IntEnum


class ExitCode(IntEnum):
    """How a command ended."""

    DONE = 0
    REFUSED = 1
    USAGE = 2
    NO_SERVICE = 3
    SERVICE_FAULT = 4
