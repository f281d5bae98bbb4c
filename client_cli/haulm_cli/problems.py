"""The three ways a call can fail, each with its exit code and the lines to print on stderr."""

from __future__ import annotations

from haulm_cli.exit_codes import ExitCode
from haulm_cli.falls import falls_table
from haulm_cli.fields import Fields, day, items, strings, text
from haulm_cli.tables import Screen


class CallFailed(Exception):
    """A call that brought no answer to show."""

    exit_code = ExitCode.SERVICE_FAULT

    def lines(self, screen: Screen) -> list[str]:
        """What to say on stderr; the screen's width is used by subclasses with tables."""
        return [str(self)]


class NoService(CallFailed):
    """Nobody answers at the address."""

    exit_code = ExitCode.NO_SERVICE


class ServiceFault(CallFailed):
    """Something answers, but not with what the contract says."""


class Problem(CallFailed):
    """The service said no, or failed, in problem details (RFC 9457)."""

    def __init__(self, status: int, body: Fields, reply_text: str) -> None:
        super().__init__(_sentence(status, body))
        self.body = body
        self.reply_text = reply_text
        self.exit_code = ExitCode.SERVICE_FAULT if status >= 500 else ExitCode.REFUSED

    def lines(self, screen: Screen) -> list[str]:
        """The sentence, then each field's error, then who would be hit."""
        said = text(self.body, "short") if self.body.get("short") else str(self)
        found = [said, *(_field_error(error) for error in items(self.body, "errors"))]
        found += falls_table(items(self.body, "falls"), "Already promised, and would be less sure:", screen)
        found += _listed("What could be promised:", strings(self.body, "would_pass"), screen)
        return [*found, *_to_sow(self.body, screen), *_way_past(self.body)]


def _to_sow(body: Fields, screen: Screen) -> list[str]:
    """What would close it first, each sowing by itself, or that nothing does."""
    if body.get("to_sow") == []:
        return ["", "Nothing that can still be sown would close it."]
    title = f"What would close it first, decided by {day(body, 'decide_by')}:"
    return _listed(title, strings(body, "to_sow"), screen)


def _listed(title: str, lines: list[str], screen: Screen) -> list[str]:
    """Sentences under a title, each by itself; nothing where there are none."""
    return ["", screen.heading(title), *(f"- {line}" for line in lines)] if lines else []


def _way_past(body: Fields) -> list[str]:
    """What the owner may do of a promise that was refused."""
    if not text(body, "type").endswith("/promise-refused"):
        return []
    return ["", "To promise it all the same, add --override --reason 'WHY': it is written down."]


def _sentence(status: int, body: Fields) -> str:
    for name in ("detail", "title"):
        if body.get(name):
            return text(body, name)
    return f"The service answered with status {status} and no explanation."


def _field_error(error: Fields) -> str:
    where = text(error, "pointer", "where")
    if error.get("detail"):
        return f"  {where}: {text(error, 'detail')}"
    return f"  {where}: found {text(error, 'found')}; accepted is {text(error, 'accepted')}"
