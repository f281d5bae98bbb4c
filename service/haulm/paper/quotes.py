"""The quote that a couple can read: plain words, how sure in words, and what was agreed to be said."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from haulm.advice.asked_words import asked_in_words
from haulm.advice.certainty import certainty
from haulm.advice.homes import homes_in_words
from haulm.farm.words import Home
from haulm.jobs.couples.told_quote import ToldQuote, told_quote
from haulm.jobs.desk.desk import Desk
from haulm.jobs.promises.show_quote import CUSTOMERS_NOTES, QuoteSheet, show_quote
from haulm.jobs.quotes.version import SheetLine, SheetPiece
from haulm.language.words import _, marked
from haulm.paper.letterhead import sender
from haulm.paper.press import pressed
from haulm.paper.sending import PDF, PaperAnswer, PaperDesk, PaperSize, sent
from haulm.paper.words import day, warned_rows
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["paper"], prefix="/paper", dependencies=[only_for(Audience.OWNER)])
_LEGEND = marked("How sure: in so many of ten summers like those we know all of it is there; what is named stands in.")
_NO_STAND_IN = marked("Nothing is to stand in for what is named.")


@router.get("/quotes/{quote}.pdf", response_class=PaperAnswer, responses=PDF)
def quote_paper(desk: PaperDesk, quote: str, size: PaperSize = PaperSize.A4) -> PaperAnswer:
    """The version of a quote that stands, as a paper for the couple."""
    sheet = show_quote(desk, quote)
    return sent(pressed("quote", _data(desk, sheet, size)), f"quote-version-{sheet.version.number}")


def _data(desk: Desk, sheet: QuoteSheet, size: str) -> dict[str, Any]:
    found = sheet.version
    crops, papers = desk.plan().crops, desk.store.farm().site.papers
    told = told_quote(sheet, papers)
    return {
        **_told(told),
        "farm": sheet.farm,
        "sender": sender(papers),
        "size": size,
        "customer": sheet.customer_name,
        "number": sheet.number,
        "version": str(found.number),
        "made_on": day(found.made_on),
        "event": day(found.event_date),
        "leaves": day(found.due_date),
        "changed": list(found.changed),
        "pieces": [_piece(piece) for piece in found.pieces],
        "palette": found.palette or _(" and ").join(found.colours),
        "substitutes": _(_NO_STAND_IN) + " " if found.no_substitute else "",
        "lines": [_line(line) for line in found.lines],
        "legend": _(_LEGEND),
        "no_go": ", ".join(asked_in_words(key, crops) for key in found.unacceptable),
        "remarks": list(found.remarks),
        "clause": _(sheet.substitution_clause),
        "cautions": [] if found.take_care else list(found.cautions),
        "take_care": warned_rows(care.warned for care in found.take_care),
        "general": [],
        "at_home": homes_in_words(map(Home, found.homes)),
        "home_warnings": list(found.home_warnings),
        "notes": [_(note) for note in CUSTOMERS_NOTES],
    }


def _told(told: ToldQuote) -> dict[str, Any]:
    """What the couple's page says in the same words."""
    return {
        "title": told.title,
        "validity": told.stands,
        "summary": told.summary,
        "largest": told.largest,
        "places": [
            {"name": _(one.name), "price": one.price, "sentence": one.sentence, "parts": list(one.parts)}
            for one in told.places
        ],
        "price": [{"part": part, "amount": amount} for part, amount in told.price],
        "total": told.total,
        "without": told.without,
        "spare": told.spare,
        "dates": list(told.dates),
        "agreed": list(told.agreed),
    }


def _piece(piece: SheetPiece) -> dict[str, str]:
    return {
        "name": piece.asked,
        "count": f"{piece.count:,}",
        "roles": ", ".join(f"{one.stems} {_(one.role)}" for one in piece.roles),
        "stems": f"{piece.stems:,}",
    }


def _line(line: SheetLine) -> dict[str, str]:
    hoped = ", ".join(f"{kind.name} ({certainty(kind.likelihood)})" for kind in line.hoped_for if not kind.stands_in)
    return {
        "wanted": line.wanted,
        "stage": _("cut {stage}").format(stage=line.stage) if line.stage else "",
        "stems": f"{line.stems:,}",
        "spare": f"{line.spare:,}",
        "hoped": hoped,
        "stand_in": line.stand_in or _behind(line),
        "certainty": certainty(line.confidence),
    }


def _behind(line: SheetLine) -> str:
    """The kinds that would stand in for a line which is expected without them."""
    names = ", ".join(kind.name for kind in line.hoped_for if kind.stands_in)
    return _("Behind them, should they fail: {names}.").format(names=names) if names else ""
