"""What was seen: the tag goes by every figure and by nothing else; a refusal says what was and what is."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.jobs.desk.seen import ANY_TAG, FigureChanged, NotAsSeen, Seen, Shown, changed_figures, check_seen
from haulm.jobs.promises.show_quote import show_quote
from haulm.jobs.promises.step_seen import quote_shown
from support.desks import desk_over, sqlite_store
from support.door import Door
from support.known_farm import known_farm

NOBODY: Any = None
"""The work of a step that looks at nothing kept."""
FIGURES = st.dictionaries(st.text(max_size=8), st.text(max_size=8), max_size=6)


@given(was=FIGURES, now=FIGURES)
def test_a_tag_is_the_same_only_where_every_figure_is(was: dict[str, str], now: dict[str, str]) -> None:
    assert (Shown("it", was).tag == Shown("it", now).tag) is (was == now)
    assert Shown("it", dict(reversed(was.items()))).tag == Shown("it", was).tag


@given(was=FIGURES, now=FIGURES)
def test_exactly_the_figures_that_are_others_are_named(was: dict[str, str], now: dict[str, str]) -> None:
    found = changed_figures(Seen(Shown("it", was).tag, was), now)

    assert {one.what for one in found} == {name for name in {*was, *now} if was.get(name) != now.get(name)}
    assert all((one.was, one.now) == (was.get(one.what), now.get(one.what)) for one in found)


def test_the_tag_alone_tells_which_figures_are_others() -> None:
    seen = Seen(Shown("it", {"Price": "EUR 5", "Day": "Sat"}).tag)

    with pytest.raises(NotAsSeen) as refusal:
        check_seen(NOBODY, seen, lambda _: Shown("Quote q1", {"Price": "EUR 6", "Day": "Sat"}))
    assert refusal.value.changes == (FigureChanged("Price", None, "EUR 6"),)


def test_nobody_looks_where_nobody_had_to() -> None:
    check_seen(NOBODY, Seen(ANY_TAG), lambda _: pytest.fail("it was looked at"))


def test_every_count_of_pieces_is_a_figure_whatever_they_are_called(tmp_path: Any) -> None:
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, known_farm(recipes="piece,role,stems\nprice,texture,1"))) as door:
        pieces = [{"piece": "price", "count": 2}, {"piece": "price", "count": 3, "colours": ["cream"]}]
        asked = {"date": "2027-06-20", "palette": "cream", "pieces": [*pieces, {"piece": "price", "count": 1}]}
        sheet = show_quote(door.desk, door.post("/v1/quotes", asked)["id"])
        figures = quote_shown(sheet, door.desk.plan()).figures
    store.close()

    counts = {name: said for name, said in figures.items() if name.endswith("(pieces)")}
    assert sum(map(int, " and ".join(counts.values()).split(" and "))) == 6, counts
    assert figures["Price"].startswith("€")


def test_the_weather_makes_it_another_quote_only_by_a_whole_percent(tmp_path: Any) -> None:
    store = sqlite_store(tmp_path)
    with Door(desk_over(store, known_farm())) as door:
        asked = {"date": "2027-06-20", "lines": [{"product": "lagurus", "stems": 5}]}
        sheet, plan = show_quote(door.desk, door.post("/v1/quotes", asked)["id"]), door.desk.plan()
    store.close()

    tags = [quote_shown(replace(sheet, confidence_now=sure), plan).tag for sure in (0.841, 0.8499, 0.85)]
    assert tags[0] == tags[1] != tags[2]
