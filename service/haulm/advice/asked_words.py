"""What is asked for, in words: a kind by its name, a choice by its colours and roles."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.farm.products import Choice, Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Form
from haulm.language.words import _


def asked_in_words(asked: Product | Choice | str, crops: Mapping[str, Crop]) -> str:
    """A product or a choice as people say it: `dried Hare's-tail grass`, `white or green filler`."""
    names = {key: crop.name for key, crop in crops.items()}
    return named(asked, names, {crop.kind: crop.kind_name for crop in crops.values()})


def named(asked: Product | Choice | str, names: Mapping[str, str], kinds: Mapping[str, str] | None = None) -> str:
    """The same with the names of varieties, and of kinds, by key."""
    if isinstance(asked, str):
        asked = Choice.parse(asked) if "=" in asked else Product.parse(asked)
    if isinstance(asked, Product):
        name = names.get(asked.variety, asked.variety)
        return _("dried {name}").format(name=name) if asked.form is Form.DRIED else name
    colours, roles = _(" or ").join(asked.colours), _(" or ").join(asked.roles)
    of_kinds = _(" or ").join((kinds or {}).get(kind, kind) for kind in asked.kinds)
    words = " ".join(filter(None, (colours, roles, of_kinds))) or _("a choice of anything")
    return _("dried {words}").format(words=words) if asked.forms == (Form.DRIED,) else words
