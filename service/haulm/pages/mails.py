"""Mail on its way; and the page on which a florist ends the lists by mail."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.florist_links import link_number
from haulm.jobs.no_more_mail import want_mail
from haulm.pages.doing import PageDesk, PageRoute, desk_of
from haulm.pages.look import page
from haulm.web.audience import Audience, only_for
from haulm.web.links import Holder, Links, PersonalLinkNotValid

router = APIRouter(include_in_schema=False, route_class=PageRoute)


@router.get("/mails", dependencies=[only_for(Audience.OWNER)])
def mails(request: Request, desk: PageDesk) -> Response:
    """The latest letters and how far they have come."""
    return page(request, "mails.html", letters=desk.store.outbox.posted())


@router.get("/no-more-mail/{token}", dependencies=[only_for(Audience.ANYBODY)])
def ask(request: Request, desk: PageDesk, token: str) -> Response:
    """The page with the button; opening it ends nothing."""
    _holder(request, token)
    return page(request, "no_more_mail.html", token=token, farm=desk.store.farm().site.name, is_done=False)


@router.post("/no-more-mail/{token}", dependencies=[only_for(Audience.ANYBODY)])
def end(request: Request, token: str) -> Response:
    """End the lists by mail: by the button, or by a mail program on its user's word (RFC 8058)."""
    desk, holder = desk_of(request), _holder(request, token)
    with desk.store.unit_of_work(actor=f"florist:{holder.customer}", now=desk.now()) as work:
        want_mail(work, holder.customer, wanted=False)
        work.save()
    return page(request, "no_more_mail.html", token=token, farm=desk.store.farm().site.name, is_done=True)


def _holder(request: Request, token: str) -> Holder:
    links: Links = request.app.state.links
    holder = links.no_more_mail(token)
    if holder.number != link_number(desk_of(request), holder.customer):
        raise PersonalLinkNotValid
    return holder
