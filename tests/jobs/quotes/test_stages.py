"""A colour that a kind has at one cut stage only asks that stage, where every kind that answers has it by that name."""

from dataclasses import replace

from haulm.farm.products import Choice
from haulm.farm.varieties import Stage
from haulm.farm.words import Role
from haulm.jobs.quotes.draft import DraftLine
from haulm.jobs.quotes.stages import stage_remarks, with_stage
from support.farms import order_line
from support.forecast_builders import crop

YOUNG, RIPE = Stage("young", "Cream", 0, 6), Stage("ripe", "tan", 7, 20)
TAIL = crop(key="tail", name="Hare's-tail", role=Role.TEXTURE, stages=(YOUNG, RIPE))
QUAKE = crop(key="quake", name="Quaking grass", role=Role.TEXTURE, stages=(YOUNG, RIPE))
PLAIN = crop(key="plain", name="Plain grass", role=Role.TEXTURE, colour="cream")
LINE = DraftLine(order_line(product=None, choice=Choice((Role.TEXTURE,))), role=Role.TEXTURE, colours=("cream",))


def of(*kinds: object) -> dict[str, object]:
    return {kind.key: kind for kind in kinds}  # type: ignore[attr-defined]


def asked(line: DraftLine, *kinds: object) -> str | None:
    return with_stage(line, of(*kinds)).line.stage  # type: ignore[arg-type]


def test_the_stage_that_has_the_colour_is_asked() -> None:
    assert asked(LINE, TAIL, QUAKE) == "young"
    assert asked(replace(LINE, colours=("tan",)), TAIL, QUAKE) == "ripe"


def test_none_is_asked_where_a_kind_has_the_colour_at_every_stage_or_names_the_stage_otherwise() -> None:
    assert asked(LINE, TAIL, PLAIN) is None
    assert asked(LINE, TAIL, replace(QUAKE, stages=(replace(YOUNG, name="green"), RIPE))) is None
    assert asked(replace(LINE, colours=("cream", "tan")), TAIL, QUAKE) is None


def test_none_is_asked_of_a_line_that_asks_no_colour_or_says_its_stage_or_was_asked_as_it_is() -> None:
    assert asked(replace(LINE, colours=()), TAIL) is None
    assert asked(replace(LINE, role=None), TAIL) is None
    assert asked(replace(LINE, line=replace(LINE.line, stage="ripe")), TAIL) == "ripe"


def test_every_kind_with_the_colour_at_one_stage_is_told_whether_or_not_a_stage_can_be_asked() -> None:
    said = stage_remarks(LINE, of(TAIL, PLAIN))  # type: ignore[arg-type]

    assert said == ["Hare's-tail is Cream when cut young, 0 to 6 days after it is ready; later it turns."]
    assert stage_remarks(replace(LINE, colours=()), of(TAIL)) == []  # type: ignore[arg-type]
