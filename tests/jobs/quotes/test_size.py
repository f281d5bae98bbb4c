"""The largest size of a quote that passes: by part, else all in proportion, in few tries."""

from hypothesis import given
from hypothesis import strategies as st

from haulm.jobs.quotes.size import MAY_PASS, SURE, Counts, Part, Tried, largest_size
from haulm.jobs.quotes.version import SmallerPart

JARS = Part("table jar", 12, 120, 0.4)
ARCH = Part("arch", 1, 100, 0.6)
BOUQUET = Part("bridal bouquet", 1, 30, 0.9)


def sure(passes: bool) -> Tried:
    return Tried(passes, 0.85 if passes else 0.5)


def test_of_one_part_the_largest_count_that_passes_is_said() -> None:
    found = largest_size([JARS], lambda counts: sure(counts[0] <= 8), SURE)

    assert found.parts == (SmallerPart("table jar", 12, 8),)
    assert found.order_confidence == 0.85
    assert (
        found.sentence == "The largest that is sure enough: 8 instead of 12 of table jar (85 % for all of it at once)."
    )


def test_of_several_the_one_that_keeps_most_stems_is_made_smaller_or_left_out() -> None:
    def tried_out(counts: Counts) -> Tried:
        jars, arches, _ = counts
        return sure(jars <= 3 or arches == 0)

    found = largest_size([JARS, ARCH, BOUQUET], tried_out, SURE)

    # Without the arch 150 stems are kept, with three jars 160.
    assert found.parts == (SmallerPart("table jar", 12, 3),)
    found = largest_size([JARS, ARCH, BOUQUET], lambda counts: sure(counts[1] == 0), SURE)
    assert found.sentence == "Sure enough without arch, all else as asked (85 % for all of it at once)."


def test_where_no_part_alone_helps_part_after_part_gets_as_many_as_pass_what_is_worn_first() -> None:
    two = [JARS, Part("posy", 8, 80, 0.5)]
    found = largest_size(two, lambda counts: sure(counts[0] <= 6 and counts[1] <= 6), SURE)
    assert found.parts == (SmallerPart("table jar", 12, 6), SmallerPart("posy", 8, 6))
    assert found.sentence.startswith("Sure enough with 6 instead of 12 of table jar and 6 instead of 8 of posy (85 %")

    worn = [*two, Part("buttonhole", 4, 12, 0.9, is_worn=True)]
    found = largest_size(worn, lambda counts: sure(counts[2] * 3 + counts[0] * 10 + counts[1] * 10 <= 40), SURE)
    assert [(part.what, part.passes) for part in found.parts] == [("table jar", 2), ("posy", 0)]
    assert found.sentence.startswith(
        "Sure enough without posy and with 2 instead of 12 of table jar, all else as asked (85 %"
    )


def test_what_is_worn_is_left_out_where_nothing_else_helps() -> None:
    crown = Part("flower crown", 1, 10, 0.2, is_worn=True)

    found = largest_size([JARS, crown], lambda counts: sure(counts[0] <= 3 or counts[1] == 0), SURE)
    assert found.parts == (SmallerPart("table jar", 12, 3),)
    found = largest_size([JARS, crown], lambda counts: sure(counts[1] == 0), SURE)
    assert found.parts == (SmallerPart("flower crown", 1, 0),)


def test_where_nothing_smaller_passes_that_is_said() -> None:
    for parts in ([JARS], [BOUQUET], [JARS, BOUQUET]):
        found = largest_size(parts, lambda counts: sure(False), SURE)
        assert (found.parts, found.order_confidence) == ((), 0.0)
        assert found.sentence == "No smaller size of it is sure enough that day."


def test_of_a_promise_it_is_said_what_would_pass() -> None:
    def smaller(most: int) -> str:
        return largest_size([JARS, ARCH], lambda counts: sure(counts[0] <= most), MAY_PASS).sentence

    assert smaller(8).startswith(
        "The largest that could be promised: 8 instead of 12 of table jar, all else as asked (85 %"
    )
    assert smaller(0).startswith("It could be promised without table jar, all else as asked (85 %")
    assert smaller(-1) == "No smaller size of it could be promised."


@given(st.integers(2, 1_000_000), st.data())
def test_n_passes_and_one_more_does_not_in_few_tries(asked: int, data: st.DataObject) -> None:
    most = data.draw(st.integers(1, asked - 1))
    tried: list[Counts] = []

    def tried_out(counts: Counts) -> Tried:
        tried.append(counts)
        return sure(counts[0] <= most)

    found = largest_size([Part("lagurus", asked, asked, 0.1)], tried_out, SURE)

    assert found.parts == (SmallerPart("lagurus", asked, most),)
    assert len(tried) == len(set(tried)) <= 22
