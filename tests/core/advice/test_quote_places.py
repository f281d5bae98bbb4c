"""Where what is asked falls: the four places add up, lie in one another, and each is as large as passes."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.quote_places import Counts, grown, most_passing, places_of, with_count

ASKED = st.lists(st.integers(0, 40), min_size=1, max_size=4).map(tuple)


@st.composite
def fields(draw: st.DrawFn) -> tuple[Counts, Counts, int]:
    """What is asked, stems each part takes, and the stems of a field that bears so many and no more."""
    asked = draw(ASKED)
    each = tuple(draw(st.integers(1, 9)) for _ in asked)
    return asked, each, draw(st.integers(0, 300))


def taken(counts: Counts, each: Counts) -> int:
    """Stems of so many parts."""
    return sum(n * stems for n, stems in zip(counts, each, strict=True))


@given(st.integers(0, 30), st.integers(0, 60), st.integers(0, 90))
def test_a_number_passes_and_one_more_does_not(below: int, more: int, limit: int) -> None:
    most, bears = below + more, max(limit, below)

    found = most_passing(below, most, lambda n: n <= bears)

    assert found == min(most, bears)


@given(fields())
def test_no_part_of_a_grown_size_could_be_one_more(field: tuple[Counts, Counts, int]) -> None:
    asked, each, bears = field
    order = sorted(range(len(asked)), key=lambda place: (each[place], place))

    found = grown(tuple(0 for _ in asked), asked, order, lambda counts: taken(counts, each) <= bears)

    assert taken(found, each) <= bears
    for place, count in enumerate(found):
        one_more = with_count(found, place, count + 1)
        assert count == asked[place] or taken(one_more, each) > bears


@given(fields(), st.integers(0, 300), st.integers(0, 300))
def test_the_places_add_up_to_what_is_asked_and_lie_in_one_another(
    field: tuple[Counts, Counts, int], sown: int, rain: int
) -> None:
    asked, each, bears = field
    order = range(len(asked))
    nothing = tuple(0 for _ in asked)
    sizes = [nothing]
    for limit in (bears, bears + sown, bears + sown + rain):
        sizes.append(grown(sizes[-1], asked, order, lambda counts, most=limit: taken(counts, each) <= most))

    found = places_of(asked, *sizes[1:])

    added = zip(found.promised, found.sown, found.wished, found.beyond, strict=True)
    assert tuple(map(sum, added)) == asked
    assert found.larger == sizes[2]


def test_what_matters_most_is_grown_first() -> None:
    found = grown((0, 0), (1, 12), (0, 1), lambda counts: taken(counts, (30, 10)) <= 65)

    assert found == (1, 3)
