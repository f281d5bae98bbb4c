"""A form of a page as a browser without scripts sends it: with all that the page put into it, and what is typed."""

from __future__ import annotations

import html
import re

import httpx

from support.door import Door


def form_of(text: str, action: str) -> dict[str, str]:
    """The hidden fields of the first form of a page that goes to an address."""
    form = re.search(rf'<form[^>]*action="{re.escape(action)}".*?</form>', text, re.DOTALL)
    assert form is not None, text
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form.group())
    return {html.unescape(name): html.unescape(value) for name, value in found}


def tapped(door: Door, page: str, step: str, **typed: str) -> httpx.Response:
    """What comes of opening a page, typing into its form for a step, and tapping the button."""
    action = f"{page}/{step}" if step else page
    return door.ask("POST", action, data={**form_of(door.ask("GET", page).text, action), **typed})


def words_of(answer: httpx.Response) -> str:
    """The words of a page, without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())
