"""The steps of the walk, in order, and how a page of it is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import Request, Response

from haulm.errors import HaulmError
from haulm.farm_folder.faults import FolderRefused
from haulm.language.words import _, marked
from haulm.pages.look import page
from haulm.web.problems import status_of


@dataclass(frozen=True, slots=True)
class Step:
    """A step: its address, and what it is called."""

    path: str
    words: str


STEPS = (
    Step("/begin", marked("Where you grow")),
    Step("/begin/kinds", marked("What you grow")),
    Step("/begin/beds", marked("Your beds")),
    Step("/begin/florists", marked("Who buys")),
    Step("/begin/sowings", marked("Your sowings")),
    Step("/begin/wedding", marked("A wedding")),
    Step("/begin/answer", marked("The first answers")),
)


def step_page(
    request: Request, number: int, template: str, *, refusal: HaulmError | None = None, **values: Any
) -> Response:
    """The page of a step, with the way back and on; a refusal stands beside its fields."""
    status = 200 if refusal is None else status_of(type(refusal), request.app.state.statuses)
    faults, wrong = beside(refusal)
    onward = STEPS[number + 1].path if number + 1 < len(STEPS) else "/"
    return page(
        request,
        template,
        status=status,
        step=STEPS[number],
        number=number,
        steps=STEPS,
        onward=onward,
        faults=faults,
        wrong=wrong,
        **values,
    )


def beside(refusal: HaulmError | None) -> tuple[Mapping[str, str], str]:
    """A sentence for each column that has a fault, and the sentence of a refusal that is of no column."""
    if refusal is None:
        return {}, ""
    if not isinstance(refusal, FolderRefused):
        return {}, refusal.sentence
    found: dict[str, str] = {}
    for fault in refusal.faults:
        said = _("Found {found}; accepted is {accepted}.").format(found=fault.found, accepted=fault.accepted)
        found.setdefault(fault.column or "", said)
    return found, found.get("", "")
