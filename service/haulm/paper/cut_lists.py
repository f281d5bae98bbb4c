"""The cut list of a cut day: what to cut from which beds in walking order, for whom, with a box for the count."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter

from haulm.advice.asked_words import asked_in_words
from haulm.farm.place_words import Place
from haulm.farm.weeks import near_day_in_words
from haulm.jobs.bucket_day.cut_list import CutRow, ForWhom, cut_list
from haulm.language.words import _
from haulm.paper.press import pressed
from haulm.paper.sending import PDF, PaperAnswer, PaperDay, PaperDesk, PaperSize, sent
from haulm.paper.words import NOT_FOR_FOOD, care_rows, day
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["paper"], prefix="/paper", dependencies=[only_for(Audience.HAND)])


@router.get("/cut-lists/{cut_day}.pdf", response_class=PaperAnswer, responses=PDF)
def cut_list_paper(desk: PaperDesk, cut_day: PaperDay, size: PaperSize = PaperSize.A4) -> PaperAnswer:
    """What to cut on a cut day, as the match has it today."""
    found = cut_list(desk, cut_day)
    farm = desk.store.farm()
    names = {customer.key: customer.name for customer in farm.customers}
    data = {
        "title": _("Cut list, {day}").format(day=day(cut_day)),
        "farm": farm.site.name,
        "size": size,
        "intro": _("As of {day}. Of 10 to 25, cut all that stand, up to 25; what is free beyond stays.").format(
            day=day(desk.today())
        ),
        "closed": [one.sentence for one in found.closed],
        **care_rows(Place.CUT, [row.crop for row in found.rows]),
        "none": _("Nothing is to be cut for an order on this day."),
        "rows": [_row(row, names) for row in found.rows],
        "notes": [_(NOT_FOR_FOOD)],
    }
    return sent(pressed("cut_list", data), f"cut-list-{cut_day}")


def _row(row: CutRow, names: Mapping[str, str]) -> dict[str, str]:
    stage = _("cut {stage}").format(stage=row.stage) if row.stage else ""
    length = _("{cm} cm and longer").format(cm=row.length_cm) if row.length_cm else ""
    return {
        "name": asked_in_words(row.product, {row.crop.key: row.crop}),
        "how": ", ".join(filter(None, (row.crop.colour, length, stage))),
        "stems": _stems(row.stems, row.up_to),
        "beds": "; ".join(f"{bed} ({', '.join(batches)})" for bed, batches in row.beds) or _("bed not written down"),
        "for_whom": "; ".join(_for(one, names) for one in row.for_whom),
    }


def _for(one: ForWhom, names: Mapping[str, str]) -> str:
    due = near_day_in_words(one.line.due)
    name, stems = names.get(one.line.customer, one.line.customer), _stems(one.stems, one.up_to)
    said = _("{name} {stems} spare ({day})") if one.line.is_spare else _("{name} {stems} ({day})")
    return said.format(name=name, stems=stems, day=due)


def _stems(stems: int, up_to: int) -> str:
    return f"{stems:,}" if stems == up_to else _("{least} to {most}").format(least=f"{stems:,}", most=f"{up_to:,}")
