"""A confidence that is asked is a share between nothing and everything, neither of which can be asked."""

import pytest

from haulm.errors import NotAccepted
from haulm.jobs.desk.asked_level import check_level, checked_level


@pytest.mark.parametrize("level", [0.001, 0.5, 0.8, 0.999])
def test_a_share_is_taken_as_it_is_asked(level: float) -> None:
    assert checked_level(level) == level


def test_none_asked_leaves_each_line_at_its_own() -> None:
    assert checked_level(None) is None


@pytest.mark.parametrize("level", [0.0, 1.0, -0.2, 80.0, float("nan")])
def test_what_is_no_share_is_refused_with_what_was_found_and_what_would_do(level: float) -> None:
    said = rf"confidence: found {level:g}; accepted is a share above 0 and below 1, such as 0\.8"

    for check in (check_level, checked_level):
        with pytest.raises(NotAccepted, match=said):
            check(level)
