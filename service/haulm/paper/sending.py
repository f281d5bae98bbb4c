"""How a paper leaves: its size, its headers, and a file name that names nobody."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from typing import Annotated, Any

from fastapi import Depends, Request
from fastapi.responses import Response
from pydantic import BeforeValidator

from haulm.farm.row_checks import DATE_SENTENCE, FIRST_DATE, LAST_DATE
from haulm.jobs.desk.desk import Desk

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


class PaperSize(StrEnum):
    """The sheets that papers are laid out for: A4, and the letter size of North America."""

    A4 = "a4"
    LETTER = "us-letter"


class PaperAnswer(Response):
    """A PDF on the wire."""

    media_type = "application/pdf"


def sent(pdf: bytes, name: str) -> PaperAnswer:
    """A PDF to be shown; `name` is that of the file, without personal data and without its ending."""
    headers = {
        "Content-Disposition": f'inline; filename="{name}.pdf"',
        "Cache-Control": "no-store",
        "Referrer-Policy": "no-referrer",
        "X-Content-Type-Options": "nosniff",
    }
    return PaperAnswer(pdf, headers=headers)


def _day(given: object) -> object:
    """An ISO date of the years that the farm folder knows, and nothing else."""
    if isinstance(given, str) and _DATE.fullmatch(given) is not None:
        try:
            found = date.fromisoformat(given)
        except ValueError:
            found = None
        if found is not None and FIRST_DATE <= found <= LAST_DATE:
            return found
    raise ValueError(DATE_SENTENCE)


def _desk(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


PaperDesk = Annotated[Desk, Depends(_desk)]
PaperDay = Annotated[date, BeforeValidator(_day)]
PDF: dict[int | str, dict[str, Any]] = {200: {"description": "The paper", "content": {"application/pdf": {}}}}
"""What the routes say they answer with."""
