"""Products and choices: what a line may ask for."""

from __future__ import annotations

import re
from dataclasses import dataclass

from haulm.errors import NotAccepted
from haulm.farm.words import Form, Role
from haulm.language.words import _, marked

KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,63}", re.ASCII)
KEY_SENTENCE = marked("a key of 1 to 64 letters, digits, '_', '.' or '-', starting with a letter or digit")
CHOICE_SENTENCE = marked(
    "words such as 'role=accent colour=white|cream' (role, colour, kind, form, without; one at least)"
)
_WORDS = ("role", "colour", "kind", "form", "without")


@dataclass(frozen=True, slots=True, order=True)
class Product:
    """A variety in a form; `str()` gives `lagurus` (fresh) or `lagurus:dried`."""

    variety: str
    form: Form = Form.FRESH

    def __hash__(self) -> int:
        return hash(self.variety)  # an enum's own hash is slow, and products are keys everywhere

    def __str__(self) -> str:
        return self.variety if self.form is Form.FRESH else f"{self.variety}:{self.form}"

    @classmethod
    def parse(cls, text: str, *, where: str = "product") -> Product:
        """A product from its text.

        Raises:
            NotAccepted: the text is not a variety key, alone or followed by `:dried`.
        """
        variety, colon, form = text.partition(":")
        if KEY.fullmatch(variety) is None or (colon and form != Form.DRIED):
            raise NotAccepted(
                where=where, found=f"'{text}'", accepted=_("a variety key, alone or followed by ':dried'")
            )
        return cls(variety, Form.DRIED if colon else Form.FRESH)


@dataclass(frozen=True, slots=True)
class Choice:
    """What a grower's-choice line accepts: any product with one of the roles, colours and kinds, in a form.

    An empty tuple of roles, colours or kinds accepts all. Fresh only, unless the form says otherwise: dried stems are
    never taken for a fresh line silently.
    """

    roles: tuple[Role, ...] = ()
    colours: tuple[str, ...] = ()
    forms: tuple[Form, ...] = (Form.FRESH,)
    without: tuple[str, ...] = ()
    """Variety keys the customer will not take; not part of the text, it comes from the order."""
    barred: tuple[str, ...] = ()
    """Variety keys that do not suit what the line is for; `without=` in the text."""
    kinds: tuple[str, ...] = ()
    """Keys of the kinds of which any cultivar will do."""

    def __hash__(self) -> int:
        return hash((self.colours, self.without, self.barred, self.kinds))  # as with products: not the hash of an enum

    def __str__(self) -> str:
        parts: list[str] = []
        if self.roles:
            parts.append("role=" + "|".join(self.roles))
        if self.colours:
            parts.append("colour=" + "|".join(self.colours))
        if self.kinds:
            parts.append("kind=" + "|".join(self.kinds))
        if self.forms != (Form.FRESH,) or not parts:
            parts.append("form=" + "|".join(self.forms))
        if self.barred:
            parts.append("without=" + "|".join(self.barred))
        return " ".join(parts)

    @classmethod
    def parse(cls, text: str, *, where: str = "choice") -> Choice:
        """A choice from text such as `role=accent colour=white|cream`.

        Raises:
            NotAccepted: a word is unknown, given twice, or has no value.
        """
        refused = NotAccepted(where=where, found=f"'{text}'", accepted=_(CHOICE_SENTENCE))
        found: dict[str, tuple[str, ...]] = {}
        for part in text.split():
            word, equals, values = part.partition("=")
            items = tuple(values.split("|"))
            if not equals or word not in _WORDS or word in found or not all(items):
                raise refused
            if len(set(items)) != len(items):
                raise refused
            found[word] = items
        if not found:
            raise refused
        try:
            roles = tuple(Role(item) for item in found.get("role", ()))
            forms = tuple(Form(item) for item in found.get("form", (Form.FRESH,)))
        except ValueError:
            raise refused from None
        barred, kinds = found.get("without", ()), found.get("kind", ())
        if any(KEY.fullmatch(item) is None for item in (*barred, *kinds)):
            raise refused
        # Colours are the grower's own words, so that capitals are all that can be told apart from a slip.
        colours = tuple(item.lower() for item in found.get("colour", ()))
        return cls(roles, colours, forms, barred=barred, kinds=kinds)

    def accepts(self, product: Product, *, role: Role, colour: str | None, kind: str) -> bool:
        """Whether a product of a variety with this role, colour and kind answers the choice."""
        return (
            product.form in self.forms
            and product.variety not in self.without
            and product.variety not in self.barred
            and (not self.roles or role in self.roles)
            and (not self.colours or (colour or "").lower() in self.colours)
            and (not self.kinds or kind in self.kinds)
        )
