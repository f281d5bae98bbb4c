"""The cut stage of a line whose colour depends on it: hare's-tail cut young is cream, and tan later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from haulm.farm.varieties import Crop, Stage
from haulm.jobs.quotes.draft import DraftLine, asked_products, products_of
from haulm.language.words import _


def with_stage(draft: DraftLine, crops: Mapping[str, Crop]) -> DraftLine:
    """The line with a stage asked, where every kind that answers it has one of that name in a colour asked.

    Where only some kinds have stages none can be asked of the line: that is told (`stage_remarks`).
    """
    if not draft.colours or draft.line.stage is not None or draft.role is None:
        return draft
    kinds = [crops[product.variety] for product in asked_products(draft.line, crops)]
    names = {stage.name for crop in kinds if (stage := _only_stage(crop, draft.colours)) is not None}
    if len(names) != 1 or not all(_only_stage(crop, draft.colours) for crop in kinds):
        return draft
    return replace(draft, line=replace(draft.line, stage=names.pop()))


def stage_remarks(draft: DraftLine, crops: Mapping[str, Crop]) -> list[str]:
    """What to mind when cutting kinds that have the colour at one stage only."""
    if not draft.colours:
        return []
    found = []
    for crop in (crops[product.variety] for product in products_of(draft.line, crops)):
        stage = _only_stage(crop, draft.colours)
        if stage is not None:
            said = _("{name} is {colour} when cut {stage}, {first} to {last} days after it is ready; later it turns.")
            days = {"first": stage.from_day, "last": stage.to_day}
            found.append(said.format(name=crop.name, colour=stage.colour, stage=stage.name, **days))
    return found


def _only_stage(crop: Crop, colours: tuple[str, ...]) -> Stage | None:
    """The stage of a crop that has a colour asked, where another stage has none of them."""
    fitting = [stage for stage in crop.stages if stage.colour.lower() in colours]
    return fitting[0] if len(fitting) == 1 and len(crop.stages) > 1 else None
