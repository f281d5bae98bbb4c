"""Kinds that do harm in pieces: what is asked is what nobody decided, and a decision since is told."""

from dataclasses import replace
from datetime import date

from haulm.farm.hazards import Hazard
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.words import Decision, Use
from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.kinds_told import decided_since, harm_in_words, is_behind, kinds_told, still_asked
from haulm.jobs.quotes.version import KindTold, QuoteVersion
from haulm.jobs.quotes.version_from_rows import version_from_rows
from haulm.planning.keeping import crops_of
from support.farms import farm, variety
from support.quote_answers import answer, asked_for

ASKED = KindTold(
    "monkshood", "Monkshood", "worn", ("bridal_bouquet",), "toxic", "dangerous", "", True, "", "It stays out."
)
KEPT_OUT = PieceDecision("monkshood", Use.WORN, Decision.KEEP_OUT)


def version_with(desk: Desk, *kinds: KindTold) -> QuoteVersion:
    """A version that tells of these kinds."""
    plan = desk.plan()
    return replace(version_from_rows(plan, plan.farm.orders[0]), kinds=kinds)


def test_only_what_nobody_decided_is_still_asked(party_desk: Desk) -> None:
    version = version_with(party_desk, ASKED)

    assert still_asked(version, ()) == (ASKED,)
    assert still_asked(version, (KEPT_OUT,)) == ()
    assert still_asked(version, (replace(KEPT_OUT, use=Use.TABLE),)) == (ASKED,)


def test_a_version_is_behind_once_something_was_decided_otherwise(party_desk: Desk) -> None:
    asked, told = version_with(party_desk, ASKED), version_with(party_desk, replace(ASKED, decided="keep_out"))

    assert not is_behind(asked, ()) and is_behind(asked, (KEPT_OUT,))
    assert not is_behind(told, (KEPT_OUT,)) and is_behind(told, ())
    assert list(decided_since(asked, told)) == ["Monkshood in what is worn or held: kept out."]
    assert list(decided_since(told, asked)) == ["Monkshood in what is worn or held: the decision was taken back."]
    assert list(decided_since(told, told)) == []


def test_each_way_of_doing_harm_is_said_once() -> None:
    crops = crops_of(farm(varieties=(variety("monkshood", name="Monkshood", botanical_name="Aconitum napellus"),)))
    hazards: tuple[Hazard, ...] = crops["monkshood"].hazards
    said = harm_in_words(hazards)

    assert said and harm_in_words((*hazards, *hazards)) == said
    assert len(said.split("; ")) == len({one.hazard_class for one in hazards})


def test_lines_asked_as_they_are_ask_nothing_of_pieces(desk: Desk) -> None:
    assert kinds_told(answer(desk, asked_for(date(2027, 6, 18), 10))) == ()
