"""Two hot weeks."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from haulm.horticulture.frost import NEVER
from haulm.horticulture.heat import HOT_DAYS, next_heat


@given(st.lists(st.floats(15, 40), min_size=HOT_DAYS, max_size=60), st.floats(20, 35))
def test_the_day_found_ends_two_weeks_as_hot_and_none_before_it_does(highs: list[float], level: float) -> None:
    found = next_heat(np.array([highs], dtype=np.float32), level)[0]
    means = [float(np.mean(np.array(highs[day + 1 - HOT_DAYS : day + 1]))) for day in range(HOT_DAYS - 1, len(highs))]
    hot = [day + HOT_DAYS - 1 for day, mean in enumerate(means) if mean >= level + 1e-4]
    nearly = [day + HOT_DAYS - 1 for day, mean in enumerate(means) if mean >= level - 1e-4]

    for day in range(len(highs)):
        surely = min((one for one in hot if one >= day), default=NEVER)
        at_least = min((one for one in nearly if one >= day), default=NEVER)
        assert at_least <= found[day] <= surely
