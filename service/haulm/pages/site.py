"""All pages as one list of routers, and the files they share."""

from __future__ import annotations

from importlib import resources

from fastapi import APIRouter, Response

from haulm.pages import (
    at_home,
    beds,
    before_dark,
    bucket,
    care,
    combined_plan,
    count_back,
    couple,
    decisions,
    field,
    find,
    florist,
    free,
    home,
    honesty,
    journal,
    kind,
    login,
    mails,
    may_promise,
    more,
    new_figures,
    next_year,
    orders,
    past_years,
    paste,
    people,
    plan,
    quotes,
    rhythm,
    short,
    suppose,
    usual_sales,
    year,
)
from haulm.pages.begin import place as begin_place
from haulm.pages.begin import walk as begin_walk
from haulm.pages.rows import doors, farm_home, settings_page
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False)


@router.get("/static/haulm.css", dependencies=[only_for(Audience.ANYBODY)])
def stylesheet() -> Response:
    """The one style sheet."""
    text = resources.files("haulm.pages").joinpath("static/haulm.css").read_text("utf-8")
    return Response(
        text, media_type="text/css", headers={"Cache-Control": "max-age=300", "X-Content-Type-Options": "nosniff"}
    )


PAGE_ROUTERS = (
    router,
    login.router,
    mails.router,
    home.router,
    begin_place.router,
    begin_walk.router,
    find.router,
    year.router,
    kind.router,
    short.router,
    combined_plan.router,
    free.router,
    may_promise.router,
    plan.router,
    beds.router,
    rhythm.router,
    next_year.router,
    count_back.router,
    paste.router,
    quotes.router,
    decisions.router,
    orders.router,
    suppose.router,
    field.router,
    care.router,
    before_dark.router,
    bucket.hands,
    bucket.router,
    florist.router,
    couple.router,
    honesty.router,
    past_years.router,
    usual_sales.router,
    at_home.router,
    new_figures.router,
    journal.router,
    more.router,
    farm_home.router,
    settings_page.router,
    doors.router,
    people.router,
)
"""Every page's router; a new page's joins here."""
