"""Which figures the forecast gives: a number that is raised with every change of the model or of the library's figures.

It is kept beside the floors of a farm. Where it differs, what was promised has become more or less sure without
anybody's doing, and that is told once.
"""

from __future__ import annotations

MODEL = 4
