"""GET /v1/new-figures, POST /v1/new-figures/looked-at."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import Field

from haulm.jobs.promises.new_figures import look_at_new_figures, see_new_figures
from haulm.rest.wire import Shape, TheCall, TheDesk
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.kept import kept

router = APIRouter(tags=["new figures"])


class LoweredShape(Shape):
    """A promise that is less sure for new figures: from what to what; `line` is null for a delivery as a whole."""

    line: str | None
    order: str
    due: str
    before: float = Field(serialization_alias="from")
    after: float = Field(serialization_alias="to")


class NewFiguresShape(Shape):
    """What new figures took from promises.

    `model` is the number of the forecast model, null where it has stayed the same since the farm began; `sentence` is
    the line on Today, null where there is nothing to look at.
    """

    model: int | None
    looked_at: bool
    sentence: str | None
    lowered: list[LoweredShape]


class LookedAtShape(Shape):
    """That it was looked at."""

    looked_at: bool


@router.get("/v1/new-figures", dependencies=[only_for(Audience.OWNER), kept()])
def new_figures(desk: TheDesk) -> NewFiguresShape:
    """The promises that are less sure since a release changed what the forecast counts on, still due, by due date.

    `from` and `to` are how sure each was with the old figures and with the new. Their floors were settled with the
    cause "new figures", and no customer was written to.
    """
    found = see_new_figures(desk)
    lowered = [
        LoweredShape(
            line=one.line,
            order=one.order,
            due=one.due.isoformat(),
            before=round(one.before, 6),
            after=round(one.after, 6),
        )
        for one in found.lowered
    ]
    return NewFiguresShape(model=found.model, looked_at=found.is_looked_at, sentence=found.sentence, lowered=lowered)


@router.post("/v1/new-figures/looked-at", response_model=LookedAtShape, dependencies=[only_for(Audience.OWNER)])
def looked_at(call: TheCall) -> JSONResponse:
    """Say that what new figures took was looked at: the line on Today goes."""

    def looked(work: UnitOfWork) -> LookedAtShape:
        look_at_new_figures(call.desk, work)
        return LookedAtShape(looked_at=True)

    return call.answer(looked)
