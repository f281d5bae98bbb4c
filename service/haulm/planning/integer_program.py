"""Integer programs solved by a general library (HiGHS, through SciPy), which is read in when it is first needed."""

from __future__ import annotations

import numpy as np

from haulm.advice.combined import FloatArray, Program

_SECONDS = 10.0
"""A plan that is not proved best by then is taken as it is."""


def solved(program: Program) -> FloatArray | None:
    """The best choice found, shape (variables,) of noughts and ones; None where there is none."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    answer = milp(
        program.cost,
        integrality=np.ones_like(program.cost),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(program.rows, -np.inf, program.most),
        options={"time_limit": _SECONDS},
    )
    return None if answer.x is None else np.asarray(answer.x, np.float64)
