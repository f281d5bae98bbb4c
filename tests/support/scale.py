"""How much a test tries: the usual counts, or the large ones of the long run (HAULM_TEST_SCALE=large)."""

import os

from hypothesis import Phase

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


def phases() -> tuple[Phase, ...]:
    """What is done with a law of long sequences: its shortest failure is looked for in the long run only.

    To shorten a sequence is to live through it hundreds of times, which may take longer than a test may.
    """
    found = (Phase.explicit, Phase.reuse, Phase.generate, Phase.target)
    return (*found, Phase.shrink, Phase.explain) if is_large() else found
