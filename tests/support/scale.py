"""How much a test tries: the usual counts, or the large ones of the long run (HAULM_TEST_SCALE=large)."""

import os

SETTING = "HAULM_TEST_SCALE"


def is_large() -> bool:
    """Whether this is the long run.

    Raises:
        ValueError: the setting is neither `usual` nor `large`.
    """
    scale = os.environ.get(SETTING, "usual")
    if scale not in ("usual", "large"):
        raise ValueError(f"{SETTING} is '{scale}'; accepted are 'usual' and 'large'.")
    return scale == "large"


def count(usual: int, large: int) -> int:
    """The count that this run asks for, such as how many random farms to compare."""
    return large if is_large() else usual
