"""Every kind of entry: what it says to a person, whether it can be taken back, and why not where it cannot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from haulm.language.words import _, marked
from haulm.store.history import PUT_BACK, TAKEN_BACK


@dataclass(frozen=True, slots=True)
class Kind:
    """What is said of entries of a kind.

    Attributes:
        words: what happened, in a few words.
        why_not: why it is never taken back; empty where it can be.
        is_quiet: whether the service noted it for itself, so that it stands in nobody's way.
    """

    words: str
    why_not: str = ""
    is_quiet: bool = False


_NOTED = marked("The service wrote this down for itself; there is nothing to take back.")
_CALENDAR = marked("This follows from the calendar, and would be written again at once.")
_LINKS = marked("A link that was ended stays ended, whoever holds it; make a new one instead.")
_GONE = marked("Names and addresses that were erased are gone for good.")
_REGISTER = marked("The register of harmful plants says so; no entry stands against it.")
_AGAIN = marked("It is put back by its own button, beside what was taken back.")
_LIST = marked("A settled list is taken back on its own page, delivery by delivery, while it is packed.")
_RESTORED = marked("What a backup put back is undone by restoring another backup.")
_HERS = marked("The florist wrote this; she changes it on her own page.")
_THEIRS = marked("The couple wrote this; they answer anew on their own page.")

KINDS: Mapping[str, Kind] = {
    "row-added": Kind(marked("Added")),
    "row-changed": Kind(marked("Changed")),
    "row-written": Kind(marked("Written")),
    "row-removed": Kind(marked("Taken out")),
    "row-taken-out": Kind(marked("Taken out")),
    "rhythm-sown": Kind(marked("Sown in a rhythm")),
    "season-copied": Kind(marked("A season's sowings copied into the next")),
    "standing-renewed": Kind(marked("A standing order renewed for the next season")),
    "standing-let-end": Kind(marked("A standing order left to end")),
    "sheet-brought-in": Kind(marked("Brought in from a spreadsheet")),
    "kinds-picked": Kind(marked("Kinds picked from the library")),
    "beds-made": Kind(marked("Beds made")),
    "florist-entered": Kind(marked("A florist entered with what they take")),
    "wedding-entered": Kind(marked("A wedding entered")),
    "settings-changed": Kind(marked("The farm's settings changed")),
    "folder-brought-in": Kind(marked("A folder brought in")),
    "farm-imported": Kind(marked("The whole farm written from a folder")),
    "site-written": Kind(marked("The farm's settings changed")),
    "person-erased": Kind(marked("A name and address erased"), _GONE),
    "stems-moved": Kind(marked("Stems taken out of the cool store")),
    "store-counted": Kind(marked("The cool store counted")),
    "stems-cut": Kind(marked("Cut stems put into the store")),
    "stems-cut-corrected": Kind(marked("The number of a cut corrected")),
    "known-stems-counted": Kind(marked("Stock counted again")),
    "kind-decided": Kind(marked("Decided whether a kind may go into pieces")),
    "sowing-taken-back": Kind(marked("A sowing for an order taken out of the plan")),
    "quoted": Kind(marked("A quote written")),
    "quote-changed": Kind(marked("A quote changed")),
    "final-numbers": Kind(marked("Final numbers written")),
    "held": Kind(marked("Stems held")),
    "contracted": Kind(marked("An order contracted")),
    "released": Kind(marked("Stems let go")),
    "quote-cancelled": Kind(marked("Cancelled by the customer")),
    "quote-fulfilled": Kind(marked("Written down as delivered")),
    "quote-lapsed": Kind(marked("A hold ran out"), _CALENDAR, is_quiet=True),
    "quote-rechecked": Kind(marked("A quote looked at again"), _NOTED, is_quiet=True),
    "prices-kept": Kind(marked("Prices of promised lines kept"), _NOTED, is_quiet=True),
    "florist-replied": Kind(marked("A florist answered the list"), _HERS),
    "couple-answered": Kind(marked("A couple answered their quote"), _THEIRS),
    "couple-answer-read": Kind(marked("Read what a couple answered")),
    "reply-judged": Kind(marked("A florist's answer accepted or declined")),
    "florist-links-ended": Kind(marked("A florist's links ended"), _LINKS),
    "availability-sent": Kind(marked("The list of what there is sent to florists")),
    "mail-wanted": Kind(marked("Mail wanted, or wanted no more")),
    "calendar-link": Kind(marked("The calendar's link made or ended"), _LINKS),
    "own-figure-accepted": Kind(marked("A figure of your own taken over")),
    "own-figure-refused": Kind(marked("A figure of your own left aside")),
    "at-home-ticked": Kind(marked("Ticked what is at home")),
    "food-mark-taken-back": Kind(marked("A kind is no longer marked as food"), _REGISTER),
    "past-year-taken-back": Kind(marked("A past year taken out")),
    "usual-sale-taken-back": Kind(marked("A usual sale taken out")),
    "bucket-list-confirmed": Kind(marked("A week's list settled"), _LIST),
    "bucket-list-priced": Kind(marked("Prices of a settled list kept"), _NOTED, is_quiet=True),
    "bucket-list-corrected": Kind(marked("A settled list corrected")),
    "bucket-list-delivered": Kind(marked("Written down that the van has left")),
    "bucket-list-taken-back": Kind(marked("A settled list taken back")),
    "list-shared-evenly": Kind(marked("A list shared evenly")),
    "claim": Kind(marked("Something was wrong with a delivery")),
    "expected-told": Kind(marked("Florists told what to expect")),
    "settled-told": Kind(marked("A florist told what she gets"), _NOTED, is_quiet=True),
    "yours-told": Kind(marked("What was told of a week kept"), _NOTED, is_quiet=True),
    "floors-moved": Kind(marked("How sure promises are looked at again"), _NOTED, is_quiet=True),
    "floor-broken": Kind(marked("A promise is less sure than it was made"), _NOTED, is_quiet=True),
    "figures-new": Kind(marked("Forecasts rest on new figures"), _NOTED, is_quiet=True),
    "figures-looked-at": Kind(marked("News of the figures read"), _NOTED, is_quiet=True),
    "forecast-kept": Kind(marked("The week's forecast kept, to compare"), _NOTED, is_quiet=True),
    "digest-sent": Kind(marked("The early warning sent"), _NOTED, is_quiet=True),
    "before-dark-told": Kind(marked("Warned before a cold night"), _NOTED, is_quiet=True),
    "farm-restored": Kind(marked("A backup put in place"), _RESTORED),
    TAKEN_BACK: Kind(marked("Taken back"), _AGAIN, is_quiet=True),
    PUT_BACK: Kind(marked("Put back"), _AGAIN, is_quiet=True),
}
"""By the kind's name; a test compares them with what the source enters."""
QUIET = frozenset(kind for kind, one in KINDS.items() if one.is_quiet)


def kind_in_words(kind: str) -> str:
    """What entries of a kind say, in the language that is spoken."""
    found = KINDS.get(kind)
    return kind.replace("-", " ").capitalize() if found is None else _(found.words)
