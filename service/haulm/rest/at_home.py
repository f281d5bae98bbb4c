"""GET and POST /v1/at-home: the seed, plugs and tubers that are at home or ordered."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.limits import LONGEST_TEXT
from haulm.jobs.farm.tick_at_home import TAKEN_BACK, Need, TickAsked, tick_at_home, ticks_kept, what_and_state
from haulm.rest.wire import Ask, Shape, TheCall, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["shortfalls"])


class TickAsk(Ask):
    """That seed (for each way of sowing), plugs or tubers of a variety are `at_home` or `ordered`, or `none` again."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"variety": "lagurus", "what": "seed", "state": "at_home"}]}
    )

    variety: str = Field(max_length=LONGEST_TEXT)
    what: str = Field(max_length=LONGEST_TEXT, description="seed, plugs or tubers.")
    state: str = Field(max_length=LONGEST_TEXT, description="at_home, ordered, or none, which takes the tick back.")


class TickShape(Shape):
    """How it stands; `date` and `holds_until` are null where nothing is ticked."""

    variety: str
    name: str
    what: str
    state: str
    date: str | None
    holds_until: str | None
    holds: bool
    sentence: str


class TicksShape(Shape):
    """Every tick, by the name of its variety."""

    ticks: list[TickShape]


@router.get("/v1/at-home", dependencies=[only_for(Audience.OWNER)])
def ticks(desk: TheDesk) -> TicksShape:
    """What is ticked as at home or ordered, when, and until when that holds."""
    return TicksShape(ticks=[tick_shape(need) for need in ticks_kept(desk)])


@router.post("/v1/at-home", response_model=TickShape, dependencies=[only_for(Audience.OWNER)])
def tick(call: TheCall, body: TickAsk) -> JSONResponse:
    """Tick what is at home or ordered: the day to act of every gap that it helps becomes the last day to sow.

    It holds for the variety until the end of the season's sowing, and can be taken back.
    """
    asked = TickAsked(body.variety, *what_and_state(body.what, body.state))
    return call.answer(lambda work: tick_shape(tick_at_home(call.desk, work, asked)))


def tick_shape(need: Need) -> TickShape:
    """A tick as it is sent."""
    return TickShape(
        variety=need.variety,
        name=need.name,
        what=need.what,
        state=TAKEN_BACK if need.tick is None else need.tick.state,
        date=None if need.tick is None else need.tick.date.isoformat(),
        holds_until=None if need.until is None else need.until.isoformat(),
        holds=need.holds,
        sentence=need.sentence,
    )
