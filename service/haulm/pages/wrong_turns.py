"""What a browser is told where no page's own route answers: a wrong address, a paper refused, a fault."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import cast

from fastapi import FastAPI, Request, Response
from starlette.exceptions import HTTPException

from haulm.errors import HaulmError
from haulm.pages.doing import refused
from haulm.pages.look import page

_SAID_OF = {404: "There is nothing at this address.", 405: "This address does not take that."}
Handler = Callable[[Request, Exception], Response]


def answer_in_pages(app: FastAPI) -> None:
    """Whoever reads pages is told in a page; other callers still get the problem that the REST door makes."""
    for kind in (HaulmError, HTTPException, Exception):
        app.add_exception_handler(kind, _in_page(cast(Handler, app.exception_handlers[kind])))


def _in_page(of_rest: Handler) -> Handler:
    def answered(request: Request, error: Exception) -> Response:
        if not _reads_pages(request):
            return of_rest(request, error)
        if isinstance(error, HaulmError):
            return refused(request, error)
        problem = of_rest(request, error)
        sentence = _SAID_OF.get(problem.status_code) or str(json.loads(bytes(problem.body))["detail"])
        return page(request, "wrong_turn.html", status=problem.status_code, sentence=sentence)

    return answered


def _reads_pages(request: Request) -> bool:
    return not request.url.path.startswith("/v1/") and "text/html" in request.headers.get("accept", "")
