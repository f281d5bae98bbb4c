"""Fields for what is a list: names, lengths, cut stages, and what a grower's choice accepts."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from haulm.farm.products import Choice
from haulm.farm.varieties import LengthShare, Stage, lengths_from_text, stages_from_text
from haulm.farm.words import Form as StemForm
from haulm.farm.words import Role
from haulm.language.words import _
from haulm.pages.rows.choice_words import ROLES
from haulm.pages.rows.widgets import At, Form, Options, Widget, percent_text, products_by_cell, share_text

_LENGTH = re.compile(r"(\d{1,4})\s*(?:cm)?\s*[:=]?\s*(\d+(?:[.,]\d+)?)\s*%?")
_STAGE = re.compile(r"([^:,|]+?)\s*[:,]\s*([^:,|]+?)\s*[:,]\s*(?:days?\s*)?(\d{1,3})\s*(?:to|-|\u2013)\s*(\d{1,3})")


@dataclass(frozen=True)
class NameList(Widget):
    """Kinds, or products, typed by their names, one to a line."""

    has_dried: bool = False

    shape = "long"

    def accepted(self, at: At) -> str:
        """Names of the farm's kinds."""
        return _("names of your kinds, one to a line")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The names, one to a line."""
        named = self._named(at)
        return {name: "\n".join(named.get(key, key) for key in cell.split("|") if key)}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The keys of the names; a name that nobody knows stays as it was typed."""
        keys = {words.casefold(): key for key, words in self._named(at).items()}
        return "|".join(keys.get(one.casefold(), one) for one in _names_in(form.get(name, ""), keys))

    def words(self, cell: str, at: At) -> str:
        """The names with commas."""
        return ", ".join(self.typed(cell, "", at)[""].splitlines())

    def _named(self, at: At) -> dict[str, str]:
        return products_by_cell(at.names) if self.has_dried else dict(at.names.varieties)


class Lengths(Widget):
    """Shares of stems by length."""

    def accepted(self, at: At) -> str:
        """Lengths with their shares."""
        return _(
            "lengths with their shares, shortest first, which make 100 %, such as 30 cm 30 %, 40 cm 50 %, 50 cm 20 %"
        )

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """Lengths and percentages."""
        return {name: ", ".join(map(_length_words, lengths_from_text(cell))) if cell else ""}

    def cell(self, form: Form, name: str, at: At) -> str:
        """Lengths and shares as the folder has them."""
        typed = form.get(name, "")
        parts = [_LENGTH.fullmatch(part.strip()) for part in re.split(r"[;\n]|,\s*(?=\d+\s*(?:cm|[:=]))|,\s+", typed)]
        found = [part for part in parts if part is not None]
        if not typed or len(found) != len(parts):
            return typed
        return "|".join(f"{part[1]}:{share_text(part[2].replace(',', '.'))}" for part in found)

    def words(self, cell: str, at: At) -> str:
        """Lengths and percentages."""
        return self.typed(cell, "", at)[""]


class Stages(Widget):
    """Cut stages of a kind by the days since it was ready."""

    shape = "long"

    def accepted(self, at: At) -> str:
        """A stage to a line."""
        return _("a stage to a line with its colour and its days after ready, such as young: cream: days 0 to 4")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """A stage to a line."""
        return {name: "\n".join(map(_stage_words, stages_from_text(cell))) if cell else ""}

    def cell(self, form: Form, name: str, at: At) -> str:
        """Stages as the folder has them."""
        typed = form.get(name, "")
        parts = [_STAGE.fullmatch(line.strip()) for line in typed.splitlines() if line.strip()]
        found = [part for part in parts if part is not None]
        if not typed or len(found) != len(parts):
            return typed
        return "|".join(f"{part[1]}:{part[2]}:{part[3]}-{part[4]}" for part in found)

    def words(self, cell: str, at: At) -> str:
        """The stages with commas."""
        return ", ".join(self.typed(cell, "", at)[""].splitlines())


class AnyOf(Widget):
    """What a grower's choice accepts: roles, colours and kinds, fresh or dried, and what it leaves out."""

    shape = "choice"
    _kinds = NameList()

    def accepted(self, at: At) -> str:
        """One of its parts."""
        return _("a role, a colour or a kind, each once")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """A field for each part; ticks for roles and forms."""
        choice = Choice.parse(cell) if cell else Choice(forms=())
        is_all_of_it = choice == Choice(forms=choice.forms)
        said = choice.forms if cell and (is_all_of_it or choice.forms != (StemForm.FRESH,)) else ()
        kinds = at.names.kinds()
        return {
            **{f"{name}.role.{role}": "yes" if role in choice.roles else "" for role in Role},
            f"{name}.colours": ", ".join(choice.colours),
            f"{name}.kinds": "\n".join(kinds.get(key, key) for key in choice.kinds),
            **{f"{name}.form.{form}": "yes" if form in said else "" for form in StemForm},
            **self._kinds.typed("|".join(choice.barred), f"{name}.without", at),
        }

    def cell(self, form: Form, name: str, at: At) -> str:
        """The choice as the folder has it; nothing where no part is said."""
        keys = {words.casefold(): key for key, words in at.names.kinds().items()}
        parts: dict[str, list[str]] = {
            "role": [str(role) for role in Role if form.get(f"{name}.role.{role}")],
            "colour": [part.strip() for part in re.split(r"[,\n]", form.get(f"{name}.colours", "")) if part.strip()],
            "kind": [keys.get(one.casefold(), one) for one in _names_in(form.get(f"{name}.kinds", ""), keys)],
            "form": [str(one) for one in StemForm if form.get(f"{name}.form.{one}")],
            "without": [part for part in self._kinds.cell(form, f"{name}.without", at).split("|") if part],
        }
        return " ".join(f"{word}={'|'.join(values)}" for word, values in parts.items() if values)

    def words(self, cell: str, at: At) -> str:
        """The choice as people say it."""
        return at.names.product(Choice.parse(cell)) if cell else ""

    def options(self, at: At, chosen: str) -> Options:
        """The roles."""
        return [(str(role), _(ROLES[role])) for role in Role]


def _names_in(typed: str, known: Iterable[str]) -> list[str]:
    """The names of a text: a line that is a name itself, else its parts between commas."""
    whole = set(known)
    found: list[str] = []
    for line in typed.splitlines():
        parts = [line] if line.strip().casefold() in whole else line.split(",")
        found += [part.strip() for part in parts if part.strip()]
    return found


def _length_words(share: LengthShare) -> str:
    return f"{share.length_cm} cm {percent_text(str(Decimal(repr(share.share))))} %"


def _stage_words(stage: Stage) -> str:
    return _("{stage}: {colour}: days {first} to {last}").format(
        stage=stage.name, colour=stage.colour, first=stage.from_day, last=stage.to_day
    )
