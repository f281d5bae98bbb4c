"""The demo farm's weddings quoted anew by role and palette, and quotes from pieces as they grow, on the demo farm."""

from collections.abc import Iterator
from datetime import date

import pytest

from haulm.advice.pieces import PieceAsked
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.find_places import largest_today
from haulm.jobs.promises.quote_wedding import new_order
from haulm.jobs.quotes.answer import Answered, QuoteAsked, answered, drafted, held_today
from support.desks import desk_over, sqlite_store
from support.project_tree import ROOT
from support.weddings_anew import Anew, weddings_anew

TODAY = date(2027, 3, 15)
LEVEL = 0.8


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A desk over the demo farm, a few hundred seasons."""
    folder = ROOT / "service/haulm/demo_farm/folder"
    store = sqlite_store(tmp_path_factory.mktemp("demo"))
    yield desk_over(store, {path.name: path.read_bytes() for path in folder.iterdir()}, today=TODAY, seasons=300)
    store.close()


@pytest.fixture(scope="module")
def held(demo: Desk) -> list[Anew]:
    """Every wedding as a hold made today."""
    return weddings_anew(demo, held=True)


def test_each_wedding_is_at_least_as_sure_by_role_and_palette_as_by_kind(held: list[Anew]) -> None:
    assert len(held) == 6
    for one in held:
        assert one.by_role >= one.by_kind - 1e-9, one.order
        for line, sure in one.lines_asked.items():
            assert one.lines_by_role[line] >= sure - 1e-9, line


def test_more_of_them_reach_the_level_by_role_and_palette(held: list[Anew]) -> None:
    by_kind = {one.order for one in held if one.by_kind >= LEVEL}
    by_role = {one.order for one in held if one.by_role >= LEVEL}

    assert by_kind < by_role


def test_where_one_fails_the_largest_size_is_said_and_where_none_fails_nothing(held: list[Anew]) -> None:
    assert {bool(one.largest) for one in held if one.by_role < LEVEL} == {True}
    assert {one.largest for one in held if one.by_role >= LEVEL} == {""}


@pytest.mark.parametrize("piece", ["small jar", "large jar"])
def test_a_quote_from_pieces_never_grows_surer_with_its_size(demo: Desk, piece: str) -> None:
    sure = [joint(demo, piece, count) for count in (1, 2, 4, 7, 11, 16, 24, 40, 60)]

    assert sure == sorted(sure, reverse=True)
    assert sure[0] > sure[-1]


def test_the_largest_size_passes_and_one_more_does_not(demo: Desk) -> None:
    asked = wanted("large jar", 30, palette="white", confidence=0.9)
    largest = largest_today(demo, demo.plan(), quoted(demo, asked), asked)

    assert largest is not None
    (part,) = largest.parts
    assert (part.what, part.asked) == ("large jar", 30)
    assert largest.order_confidence == joint(demo, "large jar", part.passes, palette="white") >= 0.9
    assert joint(demo, "large jar", part.passes + 1, palette="white") < 0.9


def wanted(piece: str, count: int, palette: str = "blush and burgundy", confidence: float = LEVEL) -> QuoteAsked:
    return QuoteAsked(date(2027, 7, 17), (PieceAsked(piece, count),), palette=palette, confidence=confidence)


def quoted(desk: Desk, asked: QuoteAsked) -> Answered:
    plan = desk.plan()
    order = new_order(plan.farm, asked, TODAY, "q0001")
    return answered(desk, plan, asked, held_today(order, TODAY), drafted(plan, asked, order.key))


def joint(desk: Desk, piece: str, count: int, palette: str = "blush and burgundy") -> float:
    return quoted(desk, wanted(piece, count, palette)).trial.joint("q0001")
