"""Warnings as lines: the worst first, each kind once; hints that are no hazards after them."""

from __future__ import annotations

from haulm_cli.fields import Fields, items, strings, text


def care_lines(body: Fields) -> list[str]:
    """A line for each warning of a reply, such as `Danger, Monkshood: Dangerously poisonous.`, then the hints."""
    lines = [
        f"{_MARKS.get(text(one, 'severity'), 'Care')}, {text(one, 'kinds')}: {' '.join(strings(one, 'sentences'))}"
        for one in items(body, "take_care")
    ]
    return [*lines, *(f"Handling, {hint}" for hint in strings(body, "handling"))]


def spray_lines(body: Fields) -> list[str]:
    """What must not be walked or cut."""
    closed = strings(body, "closed_beds")
    return [f"Do not go in, a spray's waiting time is not over: {', '.join(closed)}."] if closed else []


_MARKS = {"dangerous": "Danger", "harmful": "Care", "mild": "Mind"}
