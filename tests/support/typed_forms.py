"""Forms as a browser sends them: read from a page, filled in by name, sent to where the form says."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

import httpx

from support.door import Door


@dataclass
class PageForm:
    """One form of a page: where it goes, and what stands in its fields."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict[str, str])
    names: set[str] = field(default_factory=set[str])


class _Forms(HTMLParser):
    """Collects the forms of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[PageForm] = []
        self._select, self._area = "", ""
        self._text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.found.append(PageForm(has.get("action", ""), has.get("method", "get")))
        elif self.found:
            self._field(tag, has, self.found[-1])

    def _field(self, tag: str, has: dict[str, str], form: PageForm) -> None:
        if tag in ("input", "select", "textarea", "button") and has.get("name"):
            form.names.add(has["name"])
        if tag == "input" and has.get("name") and (has.get("type") != "checkbox" or "checked" in has):
            form.fields[has["name"]] = has.get("value", "")
        # Where none is selected a browser sends the first.
        if tag == "option" and self._select and ("selected" in has or self._select not in form.fields):
            form.fields[self._select] = has.get("value", "")
        if tag == "select":
            self._select = has.get("name", "")
        if tag == "textarea":
            self._area, self._text = has.get("name", ""), []

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        elif tag == "textarea" and self._area:
            self.found[-1].fields[self._area] = "".join(self._text).removeprefix("\n")
            self._area = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            self._text.append(data)


def forms_of(page: str) -> list[PageForm]:
    """The forms of a page."""
    reading = _Forms()
    reading.feed(page)
    return reading.found


def form_at(door: Door, path: str, *, action: str = "") -> PageForm:
    """The form of a page that is sent to an address; to that of the page where none is named."""
    answer = door.ask("GET", path)
    assert answer.status_code == 200, answer.text
    wanted = action or path.partition("?")[0]
    found = [form for form in forms_of(answer.text) if form.method == "post" and form.action == wanted]
    assert len(found) == 1, [form.action for form in forms_of(answer.text)]
    return found[0]


def sent(door: Door, form: PageForm, **typed: str | None) -> httpx.Response:
    """A form sent with what was typed; `None` takes a tick away, a dot in a name is written as two underscores."""
    fields = dict(form.fields)
    for name, text in typed.items():
        real = name.replace("__", ".")
        assert real in form.names or real in ("really", "override_reason"), f"no field {real} in {sorted(form.names)}"
        fields[real] = text or ""
        if text is None:
            del fields[real]
    return door.ask("POST", form.action, data=fields)
