"""What was promised, against what came; and the farm's own figures."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.jobs.farm.learn_figures import accept_figure, list_own_figures, refuse_figure
from haulm.jobs.growing.honesty_board import honesty_board
from haulm.pages.doing import PageDesk, PageRoute, TheForm, carried_out, desk_of
from haulm.pages.drawing import dots
from haulm.pages.look import back_to, page
from haulm.pages.parts import PartAsked, part_of
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_FIGURES = 12


@router.get("/honesty", dependencies=[kept()])
def honesty(request: Request, desk: PageDesk, part: PartAsked = 1) -> Response:
    """The honesty board, and what finished seasons say of the farm's own figures."""
    board = honesty_board(desk)
    names = {variety.key: variety.name for variety in desk.store.farm().varieties}
    return page(
        request,
        "honesty.html",
        board=board,
        dots=dots([(point.stated, point.judged.share) for point in board.points]),
        # What waits for an answer comes first.
        figures=part_of(sorted(list_own_figures(desk), key=lambda one: one.standing != "offered"), part, _FIGURES),
        names=names,
    )


@router.post("/honesty/{variety}/{figure}/accept")
def accept(request: Request, variety: str, figure: str, form: TheForm) -> Response:
    """Take a figure over as the variety's own."""
    desk = desk_of(request)

    def accepted(work: UnitOfWork) -> None:
        accept_figure(desk, work, variety, figure)

    carried_out(request, form, accepted, is_judged=True)
    return back_to("/honesty", "accepted")


@router.post("/honesty/{variety}/{figure}/refuse")
def refuse(request: Request, variety: str, figure: str, form: TheForm) -> Response:
    """Leave a figure as it is."""
    desk = desk_of(request)

    def refused(work: UnitOfWork) -> None:
        refuse_figure(desk, work, variety, figure)

    carried_out(request, form, refused, is_judged=True)
    return back_to("/honesty", "kept")
