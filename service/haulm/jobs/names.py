"""What is asked for, in words: a kind by its name, a choice by its colours and roles."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.farm.products import Choice, Product
from haulm.farm.varieties import Crop
from haulm.farm.words import Form


def asked_in_words(asked: Product | Choice | str, crops: Mapping[str, Crop]) -> str:
    """A product or a choice as people say it: `Hare's tail grass, dried`, `white or green filler`."""
    if isinstance(asked, str):
        asked = Choice.parse(asked) if "=" in asked else Product.parse(asked)
    if isinstance(asked, Product):
        crop = crops.get(asked.variety)
        name = asked.variety if crop is None else crop.name
        return f"{name}, dried" if asked.form is Form.DRIED else name
    colours = " or ".join(asked.colours)
    roles = " or ".join(asked.roles)
    return f"{colours} {roles}".strip() or "a choice of anything"
