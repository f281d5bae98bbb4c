"""What pages share with each other: their kind of route, the form that was sent, and carrying it out once."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Coroutine, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Depends, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse
from fastapi.routing import APIRoute

from haulm.errors import HaulmError, NotAccepted
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import FigureChanged, NotAsSeen, Seen
from haulm.jobs.promises.writing import Answer, Asked, carry_out
from haulm.jobs.quotes.promise_refused import PromiseRefused, fall_of_verdict
from haulm.pages.look import HEADERS, page
from haulm.store.errors import FarmEmpty
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.asking import DoorKind, caller_of, path_to_keep
from haulm.web.problems import status_of
from haulm.web.refusals import NotForYou

_MOST_FIELDS = 2000
_MISREAD = 422
_REASON = "override_reason"
_TAG, _SEEN = "tag", "seen-"
_LOOK_FIRST = 428
Handler = Callable[[Request], Coroutine[Any, Any, Response]]
Form = Mapping[str, str]


class PageRoute(APIRoute):
    """A route whose refusals are pages with the same sentence, and never JSON."""

    def get_route_handler(self) -> Handler:
        """The route's own handler, its refusals caught."""
        answer = super().get_route_handler()

        async def caught(request: Request) -> Response:
            try:
                return await answer(request)
            except PromiseRefused as refusal:
                return not_promised(request, refusal, await form_of(request))
            except HaulmError as refusal:
                return refused(request, refusal)
            except RequestValidationError as fault:
                sentence = "; ".join(f"{error['loc'][-1]}: {error['msg']}" for error in fault.errors())
                return page(request, "refused.html", status=_MISREAD, sentence=f"{sentence}.", sentences=[])

        return caught


def refused(request: Request, refusal: HaulmError) -> Response:
    """The page that says why not; without a farm the owner is led to its first page."""
    if isinstance(refusal, FarmEmpty):
        if request.method == "GET" and caller_of(request).role is DoorKind.OWNER:
            return RedirectResponse("/begin", status_code=303, headers=HEADERS)
        return page(request, "empty.html")
    if isinstance(refusal, NotForYou) and caller_of(request).role is DoorKind.NOBODY and request.method == "GET":
        return RedirectResponse(f"/login?to={quote(request.url.path)}", status_code=303, headers=HEADERS)
    status = status_of(type(refusal), request.app.state.statuses)
    faults = refusal.facts.get("faults")
    sentences = [str(fault) for fault in getattr(refusal, "faults", ())] if faults else []
    return page(request, "refused.html", status=status, sentence=refusal.sentence, sentences=sentences)


def not_promised(request: Request, refusal: PromiseRefused, form: Form) -> Response:
    """The page that says whose promise it would cost, what would pass, and offers to promise it all the same."""
    judged = refusal.judged
    return page(
        request,
        "not_promised.html",
        status=status_of(PromiseRefused, request.app.state.statuses),
        words=refusal.words,
        falls=[fall_of_verdict(fall, judged.trial) for fall in judged.verdict.falls],
        path=request.url.path,
        quote=judged.order if judged.parts else "",
        sent={name: value for name, value in form.items() if name not in ("once", _REASON)},
    )


def reason_of(form: Form) -> str | None:
    """The owner's reason to promise in spite of a refusal; None where none was given."""
    return form.get(_REASON) or None


async def form_of(request: Request) -> Form:
    """The fields of a form that was sent, trimmed; files are no business of ours."""
    async with request.form(max_files=0, max_fields=_MOST_FIELDS) as sent:
        return {name: value.strip() for name, value in sent.items() if isinstance(value, str)}


def desk_of(request: Request) -> Desk:
    """The desk the service was made with."""
    desk: Desk = request.app.state.desk
    return desk


def carried_out(
    request: Request, form: Form, act: Callable[[UnitOfWork], object], *, is_judged: bool = False
) -> Mapping[str, Any]:
    """Do what a form asks in one transaction; the form's own key makes a second tap harmless.

    `act` may give facts as JSON, which a second tap gets again.
    """
    desk = desk_of(request)
    key = form.get("once") or None
    body = "&".join(f"{name}={form[name]}" for name in sorted(form))
    asked = Asked(actor_of(request), f"POST {path_to_keep(request)}", key, hashlib.sha256(body.encode()).hexdigest())

    def acted(work: UnitOfWork) -> Answer:
        facts = act(work)
        return Answer(200, facts if isinstance(facts, Mapping) else {})

    return carry_out(desk, asked, acted, is_judged=is_judged).body


@dataclass(frozen=True, slots=True)
class NotDone:
    """Why a form was not carried out, for the page that is drawn anew above it, and what was typed into the form.

    Attributes:
        status: the status of the page.
        look_first: whether the form did not say what it showed.
        changed: what is another than the form showed; None where that is not why.
        typed: the fields that were sent.
    """

    status: int = 200
    look_first: bool = False
    changed: Sequence[FigureChanged] | None = None
    typed: Form = field(default_factory=dict[str, str])


FIRST_SIGHT = NotDone()


def done_as_seen(
    request: Request,
    form: Form,
    step: Callable[[UnitOfWork, Seen], object],
    pages: tuple[Callable[[NotDone], Response], Callable[[], Response]],
) -> Response:
    """Carry out a form that rests on what it showed, where that still stands; a second tap does nothing more.

    Args:
        request: the request.
        form: its form, with the tag and the figures that it showed.
        step: what the form asks, refused where that is not as it was seen; facts as JSON, or None.
        pages: the form's page drawn anew where nothing was done, with why; and the answer where it was done.
    """
    anew, done = pages
    if not form.get(_TAG):
        return anew(NotDone(_LOOK_FIRST, look_first=True, typed=form))
    figures = {name.removeprefix(_SEEN): words for name, words in form.items() if name.startswith(_SEEN)}
    try:
        carried_out(request, form, lambda work: step(work, Seen(form[_TAG], figures)), is_judged=True)
    except NotAsSeen as refusal:
        status = status_of(NotAsSeen, request.app.state.statuses)
        return anew(NotDone(status, changed=refusal.changes, typed=form))
    return done()


def whole_number(name: str, text: str) -> int:
    """A count that somebody typed.

    Raises:
        NotAccepted: it is no whole number, or larger than any count here.
    """
    if not (text.isascii() and text.isdigit() and len(text) < 8):
        raise NotAccepted(where=name, found=f"'{text[:40]}'", accepted="a whole number such as 80")
    return int(text)


def actor_of(request: Request) -> str:
    """Who acts, as an id."""
    return caller_of(request).actor


TheForm = Annotated[Form, Depends(form_of)]
PageDesk = Annotated[Desk, Depends(desk_of)]
