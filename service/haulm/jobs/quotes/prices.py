"""What the lines of a quote keep as their price: what was agreed while stems are held, else the list's of the day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from haulm.advice.kept_prices import priced_like
from haulm.farm.orders import OrderLine
from haulm.jobs.quotes.answer import Answered
from haulm.jobs.quotes.keep_prices import lines_kept


def priced_answer(found: Answered, before: Iterable[OrderLine] = (), *, today: date) -> Answered:
    """The answer with the price that each line keeps from now on.

    Args:
        found: the answer.
        before: the lines as they were agreed; one that asks the same keeps its price, of however many stems.
        today: the day.
    """
    agreed = {line.key: line for line in before}
    same = [priced_like(line, agreed.get(line.key, line)) for line in found.draft.order_lines]
    kept = lines_kept(found.trial.farm, found.order, same, today=today)
    lines = tuple(replace(one, line=line) for one, line in zip(found.draft.lines, kept, strict=True))
    return replace(found, draft=replace(found.draft, lines=lines))
