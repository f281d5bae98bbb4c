"""The root of the error family: every refusal Haulm makes is a HaulmError with a stable code and its facts."""

from __future__ import annotations

from typing import ClassVar

from haulm.language.words import _


class HaulmError(Exception):
    """A refusal in one sentence, made from facts.

    Subclasses set `code` (kebab case, stable) and take their facts as keyword-only arguments, which become
    attributes and, on the wire, members of the problem. Status codes are the business of the web rooms.
    """

    code: ClassVar[str] = "refused"

    def __init__(self, sentence: str, **facts: object) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.facts = facts


class NotFound(HaulmError):
    """Something was asked for by a key that the farm does not have."""

    code = "not-found"

    def __init__(self, *, kind: str, key: str) -> None:
        super().__init__(
            _("There is no {kind} with the key '{key}' on this farm.").format(kind=kind, key=key), kind=kind, key=key
        )


class NotAccepted(HaulmError):
    """One value from outside could not be accepted."""

    code = "not-accepted"

    def __init__(self, *, where: str, found: str, accepted: str) -> None:
        super().__init__(
            _("{where}: found {found}; accepted is {accepted}.").format(where=where, found=found, accepted=accepted),
            where=where,
            found=found,
            accepted=accepted,
        )
        self.where = where
        self.found = found
        self.accepted = accepted
