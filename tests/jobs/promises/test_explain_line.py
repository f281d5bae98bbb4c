"""Why a line is short, on farms small enough to add up by hand and on the demo farm."""

from collections.abc import Callable
from datetime import date
from importlib import resources
from pathlib import Path

import pytest

from haulm.errors import NotFound
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.explain_line import Explanation, SeasonShown, explain_line
from support.desks import desk_over, sqlite_store
from support.known_farm import PARTY, known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
FRIDAY = date(2027, 6, 18)
WEDDING = {
    "orders": PARTY["orders"] + "\n        bride,bram,wedding,2027-06-17,2027-05-01,contracted",
    "order_lines": PARTY["order_lines"] + "\n        bride-1,bride,30,lagurus,",
}


def adds_up(found: Explanation) -> None:
    """What a hand would check."""
    assert found.filled + found.missing == found.line.stems
    assert found.filled == (0 if found.below_minimum else found.could_have)
    parts = sum(pool.could_have for pool in found.pools) + sum(part.stems for part in found.at_limit)
    assert found.could_have == parts
    for pool in found.pools:
        assert pool.stems == sum(lot.stems for lot in pool.lots)
        assert pool.stems == pool.could_have + sum(holder.stems for holder in pool.holders)


def test_the_stems_that_count_are_those_it_could_have_and_those_that_others_hold(open_desk: OpenDesk) -> None:
    found = explain_line(open_desk(known_farm(**WEDDING)), "party-1", FRIDAY)

    # 60 were ready on Monday: 30 are the bride's, 25 Anna's, 5 are left of the 20 asked.
    (pool,) = found.pools
    assert (found.filled, found.missing, pool.stems, pool.could_have) == (5, 15, 60, 5)
    assert [(holder.line.line, holder.stems) for holder in pool.holders] == [("bride-1", 30), ("anna-1", 25)]
    assert found.sentence.endswith("Of the 60 stems that count it could have 5; 55 are held by 2 earlier lines.")
    adds_up(found)


def test_a_line_for_which_nothing_is_there_says_so(party_desk: Desk) -> None:
    found = explain_line(party_desk, "late-1", date(2027, 7, 2))

    assert (found.filled, found.missing, found.pools) == (0, 10, ())
    assert found.sentence.endswith("Nothing that it accepts is there for that day.")


def test_a_filled_line_gets_them_all(party_desk: Desk) -> None:
    found = explain_line(party_desk, "party-1", FRIDAY)

    assert (found.missing, found.pools) == (0, ())
    assert found.sentence.endswith("it asks 20 Bunny tail for Fri 18 Jun 2027 and gets them all.")


def test_a_line_is_named_by_its_key_and_its_day(party_desk: Desk) -> None:
    with pytest.raises(NotFound):
        explain_line(party_desk, "party-1", date(2027, 6, 19))


@pytest.mark.parametrize("season", SeasonShown)
def test_every_short_line_of_the_demo_farm_adds_up(season: SeasonShown, tmp_path: Path) -> None:
    with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as folder:
        files = {path.name: path.read_bytes() for path in folder.iterdir()}
    store = sqlite_store(tmp_path)
    desk = desk_over(store, files, today=date(2027, 3, 15))
    plan = desk.plan()
    one = plan.expected if season is SeasonShown.EXPECTED else plan.careful
    lines = [(line, one.result.filled(at)[0]) for at, line in enumerate(one.result.lines) if not line.is_spare]
    short = {(line.line, line.due): line.stems - filled for line, filled in lines if filled < line.stems}

    assert len(short) > 3
    for (key, due), missing in short.items():
        found = explain_line(desk, key, due, season)
        assert found.missing == missing
        adds_up(found)
    store.close()
