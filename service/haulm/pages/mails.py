"""Mail on its way; and the page on which a florist ends the lists by mail, or the farm its early warning."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.florists.florist_links import link_number
from haulm.jobs.florists.no_more_mail import THE_FARM, want_mail, wants_no_mail
from haulm.jobs.florists.send_again import send_again
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.look import back_to, page
from haulm.web.audience import Audience, only_for
from haulm.web.links import Holder, Links, PersonalLinkNotValid

router = APIRouter(include_in_schema=False, route_class=PageRoute)


@router.get("/mails", dependencies=[only_for(Audience.OWNER)])
def mails(request: Request, desk: PageDesk) -> Response:
    """The latest letters and how far they have come."""
    return page(request, "mails.html", letters=desk.store.outbox.posted())


@router.post("/mails/{number}/again", dependencies=[only_for(Audience.OWNER)])
def again(request: Request, number: int, form: TheForm) -> Response:
    """Try a letter anew."""
    carried_out(request, form, lambda work: send_again(work, number) and None)
    return back_to("/mails", "again")


@router.get("/no-more-mail/{token}", dependencies=[only_for(Audience.ANYBODY)])
def ask(request: Request, token: str) -> Response:
    """The page with the button; opening it ends nothing."""
    return _shown(request, token, _holder(request, token))


@router.post("/no-more-mail/{token}", dependencies=[only_for(Audience.ANYBODY)])
def end(request: Request, token: str) -> Response:
    """End such mail: by the button, or by a mail program on its user's word (RFC 8058)."""
    return _set(request, token, wanted=False)


@router.post("/no-more-mail/{token}/again", dependencies=[only_for(Audience.ANYBODY)])
def begin_again(request: Request, token: str) -> Response:
    """Begin such mail again, by the button of whoever ended it."""
    return _set(request, token, wanted=True)


def _set(request: Request, token: str, *, wanted: bool) -> Response:
    desk, holder = desk_of(request), _holder(request, token)
    actor = "owner" if holder.customer == THE_FARM else f"florist:{holder.customer}"
    with desk.store.unit_of_work(actor=actor, now=desk.now()) as work:
        want_mail(work, holder.customer, wanted=wanted)
        work.save()
    return _shown(request, token, holder)


def _shown(request: Request, token: str, holder: Holder) -> Response:
    desk = desk_of(request)
    return page(
        request,
        "no_more_mail.html",
        token=token,
        farm=desk.store.farm().site.name,
        is_farm=holder.customer == THE_FARM,
        is_ended=wants_no_mail(desk, holder.customer),
    )


def _holder(request: Request, token: str) -> Holder:
    links: Links = request.app.state.links
    holder = links.no_more_mail(token)
    if holder.number != link_number(desk_of(request), holder.customer):
        raise PersonalLinkNotValid
    return holder
