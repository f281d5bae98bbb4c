"""How a page is made: one set of templates, the words for days and money, and the headers every page carries."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from haulm.advice.asked_words import asked_in_words
from haulm.errors import HaulmError
from haulm.farm.quantities import percent, percents, seasons_of_ten
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import Week, day_in_words, near_day_in_words, weeks_in_words
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.desk.names import Names
from haulm.language import days
from haulm.language.words import _, many, marked, one_or_more, spoken
from haulm.pages.places import HANDS, PLACES, Place, Row, place_of
from haulm.web.asking import Caller, DoorKind
from haulm.web.audience import BY_LINK
from haulm.web.kept import for_one_visit

HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    ),
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}
"""Nothing from elsewhere, no scripts, no trace of the address to any other site.

A form of a page without any referrer is sent as of no origin, which is refused; pages that a signed link opens leave no
trace at all, and their address itself is the leave to write.
"""
SAID = {
    "added": marked("The batch is in the plan."),
    "rhythm_sown": marked("The sowings are in the plan."),
    "season_copied": marked("What was ticked is in the plan; the journal can take it back as a whole."),
    "order_renewed": marked("Renewed: the order stands in the next season."),
    "order_let_end": marked("Written down: it ends with its last week."),
    "brought_in": marked("Brought in, every row."),
    "recorded": marked("Written down."),
    "changed": marked("Changed."),
    "held": marked("The stems are held."),
    "contracted": marked("It is contracted."),
    "released": marked("The stems are let go."),
    "decided": marked("Kept; quotes follow it from now on."),
    "unanswered": marked("Kept for quotes from now on; this one stays as it was."),
    "settled": marked("Settled: it is packed until the van leaves."),
    "taken_back": marked("Taken back: the stems are in the cool store again."),
    "ticked": marked("Ticked: there is no day to order it any more."),
    "unticked": marked("Taken back: it has to be ordered again."),
    "entry_back": marked("Taken back: everything is as it was before."),
    "put_back": marked("Put back."),
    "year_entered": marked("Entered; the forecast follows it from now on."),
    "year_taken_back": marked("Taken back; the forecast is as if it had not been entered."),
    "sale_entered": marked("Entered, as hoped for; no promise changes."),
    "sale_taken_back": marked("Taken back; no promise changes."),
    "accepted": marked("Accepted."),
    "declined": marked("Declined."),
    "moved": marked("Moved."),
    "row_added": marked("Added."),
    "row_out": marked("Taken out; the journal can take that back."),
    "person_out": marked("Taken out and forgotten."),
    "person_erased": marked("Erased for good."),
    "kept": marked("The figure stays as it was."),
    "ended": marked("The calendar's address is worth nothing any more."),
    "on_its_way": marked("It is on its way to the farm."),
    "expected_told": marked("What is expected is on its way to them."),
    "told": marked("Thank you, it has been noted."),
    "looked_at": marked("Written down: the line on Today is gone."),
    "saved": marked("Saved."),
    "again": marked("It will be tried again."),
    "out": marked("You are logged out."),
}
"""What a page may say after something was done, by the word that the address carries."""


def page(request: Request, template: str, *, status: int = 200, **values: Any) -> HTMLResponse:
    """A page from a template; `values` are what the template names.

    The sentence for what was just done comes from a closed list by the query's word `said`, so that no address can put
    words into the page.
    """
    message = SAID.get(request.query_params.get("said", ""))
    said = _(message) if message else None

    def own_key() -> str:
        for_one_visit(request)
        return once()

    made = _templates().get_template(template)
    farm = _farm(request)
    text = made.render(
        here=request.url.path,
        language=spoken(),
        frame=_frame(request, farm),
        named=None if farm is None else Names(farm),
        said=said,
        once=own_key,
        caller=getattr(request.state, "caller", None),
        **values,
    )
    by_link = request.url.path.startswith(BY_LINK)
    headers = {**HEADERS, "Referrer-Policy": "no-referrer"} if by_link else HEADERS
    return HTMLResponse(text, status_code=status, headers=headers)


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands round a page: whose farm it is, where one is, and where one can go from here.

    Attributes:
        farm: what stands in the head.
        is_ours: whether it is a page of the farm's own people, not one that a link opens.
        is_hand: whether a farm hand sees it; `finds`: whether everything can be looked for.
        places: the places one can go to; none before somebody logged in.
        place, row: where the page lies; None for one that lies in no place.
        phone: the farm's number, for whoever came by a link.
    """

    farm: str
    is_ours: bool
    is_hand: bool
    finds: bool
    places: tuple[Place, ...]
    place: Place | None
    row: Row | None
    phone: str


def _frame(request: Request, farm: Farm | None) -> Frame:
    caller: Caller | None = getattr(request.state, "caller", None)
    is_owner = caller is not None and caller.role is DoorKind.OWNER
    is_hand = caller is not None and caller.role is DoorKind.HAND
    places = PLACES if is_owner else HANDS if is_hand else ()
    place, row = place_of(request.url.path, places) or (None, None)
    name = "Haulm" if farm is None else farm.site.name
    is_ours = not request.url.path.startswith(BY_LINK)
    phone = "" if farm is None or is_ours else farm.site.papers.phone
    return Frame(name, is_ours, is_hand, is_owner, places, place, row, phone)


def _farm(request: Request) -> Farm | None:
    """The farm; None where none was imported yet or none can be read, which the page itself says."""
    desk: Desk = request.app.state.desk
    try:
        return desk.store.farm()
    except HaulmError:
        return None


def back_to(path: str, said: str) -> RedirectResponse:
    """The answer to a form that was carried out: to a page that says so."""
    assert said in SAID, said
    joined = "&" if "?" in path else "?"
    return RedirectResponse(f"{path}{joined}said={said}", status_code=303, headers=HEADERS)


def once() -> str:
    """A key for a form, so that a second tap does nothing twice."""
    return secrets.token_urlsafe(16)


def day(given: date | str) -> str:
    """A day in words: `Sat 14 Aug 2027`; what is kept has its days as text."""
    found = date.fromisoformat(given) if isinstance(given, str) else given
    return day_in_words(found)


def long_day(found: date) -> str:
    """A day that heads a page: `Monday 12 July 2027`."""
    return days.long_day(found)


def weekday(found: date) -> str:
    """The weekday of a day in three letters."""
    return days.short_weekday(found)


def month(found: date) -> str:
    """The month of a day in three letters."""
    return days.short_month(found)


def posted(at: datetime) -> str:
    """When a letter was written: `04 Aug 18:05`."""
    return f"{at:%d} {days.short_month(at)} {at:%H:%M}"


def sentence(words: str) -> str:
    """Words that begin a line: `White filler`."""
    return words[:1].upper() + words[1:]


def short_day(found: date) -> str:
    """A day of a year that is plain: `14 Aug`."""
    return days.short_day(found)


def week(found: Week) -> str:
    """A week with its Monday: `week 32 (9 Aug)`."""
    return _("week {number} ({day})").format(number=found.number, day=short_day(found.monday))


def bunches(count: int) -> str:
    """A count of bunches: `1 bunch`, `3 bunches`."""
    return one_or_more("{count} bunch", "{count} bunches", count).format(count=count)


def stems(count: float) -> str:
    """A count of stems: whole, and `under 1` for the rest of a mean."""
    if 0 < count < 1:
        return _("under 1 stem")
    whole = round(count)
    return many("{count} stem", "{count} stems", whole)


def days_late(late: float) -> str:
    """So many days later or earlier, in words: `about 3 days later`."""
    whole = round(abs(late))
    if not whole:
        return _("less than a day earlier or later")
    if late > 0:
        return many("about {count} day later", "about {count} days later", whole)
    return many("about {count} day earlier", "about {count} days earlier", whole)


@cache
def _templates() -> Environment:
    found = Environment(
        loader=PackageLoader("haulm.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    # The extension gives environments this method; its types do not know it.
    found.install_gettext_callables(_, one_or_more, newstyle=True)  # type: ignore[attr-defined]
    found.filters.update(day=day, short_day=short_day, week=week, money=money_words, percent=percent, stems=stems)
    found.filters.update(tenths=seasons_of_ten, near_day=near_day_in_words, long_day=long_day, span=weeks_in_words)
    found.filters.update(weekday=weekday, month=month, sentence=sentence, posted=posted)
    found.filters.update(month_of_year=days.month_of_year)
    found.filters.update(
        days_late=days_late, asked=asked_in_words, bunches=bunches, percents=lambda pair: percents(*pair)
    )
    return found
