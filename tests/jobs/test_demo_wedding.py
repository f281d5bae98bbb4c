"""The demo's wedding bouquet with dahlias and larkspur: what the grower is asked, and what is kept of her answer."""

from datetime import date
from pathlib import Path

from haulm.advice.pieces import PieceAsked
from haulm.farm.words import Decision, Home, Use
from haulm.farm_folder.writer import folder_texts
from haulm.jobs.promises.decide_kinds import DecisionAsked, decide_kinds, decisions_kept
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.promises.show_quote import show_quote
from haulm.jobs.quotes.version import QuoteVersion
from support.demo_farms import demo_farm
from support.desks import desk_over, sqlite_store
from support.planned_farms import TODAY

FEW_SEASONS = 20
ASKED = QuoteAsked(
    date(2027, 7, 31), pieces=(PieceAsked("bridal bouquet", 1),), palette="white", homes=(Home.CATS, Home.CHILDREN)
)


def hoped_for(version: QuoteVersion) -> set[str]:
    return {kind.product for line in version.lines for kind in line.hoped_for}


def test_dahlias_come_at_once_larkspur_once_she_says_so_and_the_answer_is_kept(tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    desk = desk_over(store, folder_texts(demo_farm()), today=TODAY, seasons=FEW_SEASONS)
    with store.unit_of_work(actor="owner", now=desk.now()) as work:
        quote = quote_wedding(desk, work, ASKED)
        work.save()

    asked = show_quote(desk, quote.order.key).asked
    assert [(kind.name, kind.severity, kind.is_out) for kind in asked] == [
        ("White larkspur", "dangerous", True),
        ("Green ammi", "harmful", True),
        ("White ammi", "harmful", True),
    ]
    assert "dahlia_white" in hoped_for(quote.version)
    assert "larkspur_white" not in hoped_for(quote.version)
    assert any(line.startswith("White dahlia: mildly harmful to pets") for line in quote.version.home_warnings)
    # Each kind that may come is told of once.
    told = [kind for care in quote.version.take_care for kind in care.kinds]
    assert told == ["White dahlia", "Yarrow"]

    larkspur = DecisionAsked("larkspur_white", Decision.USE, Use.WORN, note="gloves for whoever binds")
    with store.unit_of_work(actor="owner", now=desk.now()) as work:
        done = decide_kinds(desk, work, (larkspur,), quote=quote.order.key)
        work.save()

    assert done.changed is not None
    assert "larkspur_white" in hoped_for(done.changed.version)
    assert done.changed.version.homes == ("cats", "children")
    first = done.changed.version.home_warnings[0]
    assert first.startswith("White larkspur: dangerously poisonous (all parts), can kill pets (all parts).")
    sheet = show_quote(desk, quote.order.key)
    assert "White larkspur" not in [kind.name for kind in sheet.asked]
    assert sheet.steps[-1].sentence == "Changed: White larkspur in what is worn or held: used all the same."
    (kept,) = decisions_kept(desk)
    assert (kept.sentence, kept.row.note, kept.actor) == (
        "Used all the same in what is worn or held.",
        "gloves for whoever binds",
        "owner",
    )
    store.close()
