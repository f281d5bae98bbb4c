"""What the grower decided about kinds in pieces: the list, and one decision with a tap."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from haulm.errors import NotAccepted
from haulm.farm.words import Decision, Use
from haulm.jobs.promises.decide_kinds import TAKEN_BACK, DecisionAsked, decide_kinds, decisions_kept
from haulm.pages.doing import Form, PageDesk, PageRoute, TheForm, carried_out
from haulm.pages.look import back_to, page
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])


@router.get("/decisions")
def decisions(request: Request, desk: PageDesk) -> Response:
    """Every decision as it stands, with what changes it or takes it back."""
    return page(
        request,
        "decisions.html",
        kept=decisions_kept(desk),
        kinds=sorted((row.name, row.key) for row in desk.store.farm().varieties),
    )


@router.post("/decisions")
def decide(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Write one decision; the quote that asked is answered anew by it."""
    asked, quote = _asked(form), form.get("quote") or None

    def decided(work: UnitOfWork) -> dict[str, str]:
        return {"unanswered": decide_kinds(desk, work, (asked,), quote=quote).unanswered}

    done = carried_out(request, form, decided, is_judged=True)
    if quote is None:
        return back_to("/decisions", "decided")
    return back_to(f"/quotes/{quote}", "unanswered" if done["unanswered"] else "decided")


def _asked(form: Form) -> DecisionAsked:
    word = form.get("decision", "")
    if word not in (*Decision, TAKEN_BACK):
        raise NotAccepted(where="decision", found=f"'{word}'", accepted=f"one of {', '.join((*Decision, TAKEN_BACK))}")
    use = form.get("use", "")
    if use not in tuple(Use):
        raise NotAccepted(where="use", found=f"'{use}'", accepted=f"one of {', '.join(Use)}")
    return DecisionAsked(
        form.get("variety", ""),
        None if word == TAKEN_BACK else Decision(word),
        Use(use),
        form.get("only") or form.get("piece") or None,
        form.get("note", ""),
    )
