"""How something was grown, as a sentence."""

import pytest

from haulm.farm.words import Method
from haulm.jobs.farm.method_words import METHOD_WORDS, grown_in_words


@pytest.mark.parametrize(
    ("method", "tunnel", "said"),
    [
        (Method.HEATED, True, "Sown on a heated bench, in a tunnel."),
        (Method.TUBER, False, "Planted as bulbs, corms or tubers."),
        (None, True, "In a tunnel."),
        (None, False, ""),
    ],
)
def test_how_it_was_grown_is_one_sentence_and_nothing_where_nothing_is_known(
    method: Method | None, tunnel: bool, said: str
) -> None:
    assert grown_in_words(method, tunnel=tunnel) == said


def test_no_two_ways_of_growing_read_alike() -> None:
    assert len({grown_in_words(method, tunnel=False) for method in Method}) == len(METHOD_WORDS) == len(Method)
