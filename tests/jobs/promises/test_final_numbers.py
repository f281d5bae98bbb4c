"""Final numbers and an answer anew: another version of a quote of pieces, with all else as it was asked before."""

from collections.abc import Callable
from datetime import date

import pytest

from haulm.advice.pieces import PieceAsked
from haulm.errors import NotAccepted, NotFound
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.final_numbers import asked_before, final_numbers
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.promises.show_quote import show_quote
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.jobs.quotes.version import VERSION_KINDS
from support.desks import done
from support.known_farm import known_farm

FRIDAY, SATURDAY = date(2027, 6, 18), date(2027, 6, 19)
RECIPES = "piece,role,stems\nlittle jar,texture,3\nlittle jar,accent,1\nposy,texture,5"
JARS = PieceAsked("little jar", 5, ("cream",))


@pytest.fixture
def desk(open_desk: Callable[[dict[str, bytes]], Desk]) -> Desk:
    """The farm of known stems with recipes of its own."""
    return open_desk(known_farm(recipes=RECIPES))


def quoted(desk: Desk, **more: object) -> str:
    asked = QuoteAsked(SATURDAY, (JARS,), due_date=FRIDAY, spare_percent=10.0, dried_ok=True, **more)  # type: ignore[arg-type]
    return done(desk, lambda work: quote_wedding(desk, work, asked)).order.key


def final(desk: Desk, key: str, *pieces: PieceAsked, override: str | None = None) -> None:
    done(desk, lambda work: final_numbers(desk, work, key, pieces, override=override))


def before(desk: Desk, key: str) -> QuoteAsked:
    return done(desk, lambda work: asked_before(work, key))


def test_only_the_counts_are_others_and_a_piece_keeps_its_colours(desk: Desk) -> None:
    key = quoted(desk)
    was = before(desk, key)

    final(desk, key, PieceAsked("little jar", 3), PieceAsked("posy", 1))

    now = before(desk, key)
    assert [(one.piece, one.count, one.colours) for one in now.pieces] == [
        ("little jar", 3, ("cream",)),
        ("posy", 1, ()),
    ]
    for name in ("event_date", "due_date", "spare_percent", "dried_ok", "palette", "kind"):
        assert getattr(now, name) == getattr(was, name), name


def test_the_version_is_marked_as_final_and_the_one_before_stays(desk: Desk) -> None:
    key = quoted(desk)
    final(desk, key, PieceAsked("little jar", 3))

    assert [one.kind for one in desk.store.entries_of(*VERSION_KINDS, about=f"orders/{key}")] == [
        "quoted",
        "final-numbers",
    ]
    assert [piece.count for piece in show_quote(desk, key).version.pieces] == [3]


def test_what_is_contracted_is_judged_and_refused_where_there_is_not_enough(desk: Desk) -> None:
    key = quoted(desk)
    done(desk, lambda work: contract_quote(desk, work, key))
    version = desk.store.version()

    with pytest.raises(PromiseRefused):
        final(desk, key, PieceAsked("little jar", 300))
    assert desk.store.version() == version
    final(desk, key, PieceAsked("little jar", 300), override="they were told")
    assert before(desk, key).pieces[0].count == 300


def test_there_are_final_numbers_of_pieces_only(desk: Desk) -> None:
    lines = QuoteAsked(FRIDAY, lines=(OrderLine("", "", 5, Product("lagurus")),), due_date=FRIDAY)
    key = done(desk, lambda work: quote_wedding(desk, work, lines)).order.key

    with pytest.raises(NotAccepted, match="found no pieces; accepted is a quote made from pieces"):
        final(desk, key, JARS)
    with pytest.raises(NotFound):
        final(desk, "nobodys", JARS)
