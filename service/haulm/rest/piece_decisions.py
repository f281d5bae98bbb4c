"""GET and POST /v1/piece-decisions: what the grower decided about kinds in pieces."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse
from pydantic import ConfigDict, Field

from haulm.farm.limits import LONGEST_TEXT
from haulm.farm.words import Decision, Use
from haulm.jobs.promises.decide_kinds import (
    TAKEN_BACK,
    Decided,
    DecisionAsked,
    DecisionKept,
    decide_kinds,
    decisions_kept,
)
from haulm.rest.quote_shapes import ChangedShape
from haulm.rest.quotes import changed_shape
from haulm.rest.wire import MOST_AT_ONCE, Ask, Shape, TheCall, TheDesk
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["quotes"])
_WORDS = "|".join((*Decision, TAKEN_BACK))


class DecisionAsk(Ask):
    """A decision about a kind: `use` it all the same, `keep_out`, or `ask`, which takes back what was decided.

    It holds for every piece of a use (`worn`, `table`), or for the one piece that is named.
    """

    variety: str = Field(max_length=LONGEST_TEXT)
    decision: str = Field(pattern=f"^({_WORDS})$")
    use: Use | None = Field(default=None, description="worn or table; may be left out where a piece is named.")
    piece: str | None = Field(default=None, max_length=LONGEST_TEXT, description="One piece, by any of its names.")
    note: str = Field(default="", max_length=LONGEST_TEXT, description="What goes with it; no names.")


class DecisionsAsk(Ask):
    """Decisions, all of them or none; `quote` is answered anew by them where it holds no stems."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "decisions": [
                        {"variety": "lagurus", "use": "worn", "decision": "use", "note": "gloves for whoever binds"}
                    ]
                }
            ]
        }
    )

    decisions: tuple[DecisionAsk, ...] = Field(min_length=1, max_length=MOST_AT_ONCE)
    quote: str | None = Field(default=None, max_length=LONGEST_TEXT, description="The quote that asked.")


class DecisionShape(Shape):
    """A decision as it stands; who made it and when are null where it came with an import."""

    variety: str
    name: str
    use: str
    piece: str | None
    decision: str
    note: str
    sentence: str
    actor: str | None
    at_utc: str | None


class DecisionsShape(Shape):
    """Every decision, by the name of its kind."""

    decisions: list[DecisionShape]


class WrittenDecisionShape(Shape):
    """A decision as it was written."""

    variety: str
    use: str
    piece: str | None
    decision: str
    note: str


class DecidedShape(Shape):
    """What was decided; of the quote that asked its new version, or in a sentence why it stays as it was."""

    decisions: list[WrittenDecisionShape]
    quote: ChangedShape | None
    unanswered: str


@router.get("/v1/piece-decisions", dependencies=[only_for(Audience.OWNER)])
def decisions(desk: TheDesk) -> DecisionsShape:
    """What was decided about kinds in pieces, who decided it and when."""
    return DecisionsShape(decisions=[_kept(kept) for kept in decisions_kept(desk)])


@router.post("/v1/piece-decisions", response_model=DecidedShape, dependencies=[only_for(Audience.OWNER)])
def decide(call: TheCall, body: DecisionsAsk) -> JSONResponse:
    """Decide about kinds that do harm in pieces; later quotes follow it until it is changed or taken back.

    What goes on or beside food never takes what is not sold for food, whatever is decided.
    """
    asked = tuple(_asked(one) for one in body.decisions)
    return call.answer(lambda work: _decided(decide_kinds(call.desk, work, asked, quote=body.quote)), is_judged=True)


def _asked(body: DecisionAsk) -> DecisionAsked:
    decision = None if body.decision == TAKEN_BACK else Decision(body.decision)
    return DecisionAsked(body.variety, decision, body.use, body.piece, body.note)


def _kept(kept: DecisionKept) -> DecisionShape:
    row = kept.row
    return DecisionShape(
        variety=row.variety,
        name=kept.name,
        use=row.use,
        piece=row.piece,
        decision=row.decision,
        note=row.note,
        sentence=kept.sentence,
        actor=kept.actor,
        at_utc=None if kept.at_utc is None else kept.at_utc.isoformat(),
    )


def _decided(decided: Decided) -> DecidedShape:
    return DecidedShape(
        decisions=[
            WrittenDecisionShape(
                variety=row.variety, use=row.use, piece=row.piece, decision=row.decision, note=row.note
            )
            for row in decided.decisions
        ],
        quote=None if decided.changed is None else changed_shape(decided.changed),
        unanswered=decided.unanswered,
    )
