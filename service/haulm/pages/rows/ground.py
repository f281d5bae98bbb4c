"""The ground in words: beds, what was sprayed on them, and the temperatures of days."""

from __future__ import annotations

from haulm.farm.beds import Bed, Spray
from haulm.farm.records import DayTemperature
from haulm.farm.weeks import day_in_words
from haulm.language.words import _, many, marked
from haulm.pages.rows.names import Names
from haulm.pages.rows.page_words import Field, Listed, Table

KEY_MADE = marked("made from what it is called")


def _bed(names: Names, row: Bed) -> Listed:
    room = [
        names.word("beds", "kind", row.kind),
        "" if row.metres is None else _("{metres} m long").format(metres=f"{row.metres:g}"),
        "" if row.trays is None else many("{count} tray", "{count} trays", row.trays),
    ]
    return Listed(names.of("beds", row.key), tuple(filter(None, room)))


def _spray(names: Names, row: Spray) -> Listed:
    closed = _("closed until {day}").format(day=day_in_words(row.wait_until))
    return Listed(names.title("sprays", row), (closed, row.note))


def _temperature(names: Names, row: DayTemperature) -> Listed:
    warmth = _("{low} to {high} degrees").format(low=f"{row.min_c:g}", high=f"{row.max_c:g}")
    return Listed(names.title("temperatures", row), (warmth,))


BEDS = Table(
    collection="beds",
    place="beds",
    many=marked("Beds"),
    one=marked("a bed"),
    says=marked("Where plants stand, and benches for trays. With their length it is plain when a bed is too full."),
    fields=(
        Field("name", marked("Name"), marked("as you call it, such as Pond bed")),
        Field("kind", marked("Where it is")),
        Field("metres", marked("Length in metres"), empty=marked("not known")),
        Field("width_cm", marked("Width in centimetres"), empty=marked("120")),
        Field("trays", marked("Trays it holds"), marked("for a bench"), empty=marked("not known")),
        Field(
            "walk",
            marked("Place on the walk"),
            marked("1 for the bed you come to first"),
            empty=marked("after the beds that have one"),
        ),
    ),
    listed=_bed,
    made={"key": KEY_MADE},
    filter_by="kind",
    leave=marked("The bed is gone from the plan. What was written down about it stays in the journal."),
)
SPRAYS = Table(
    collection="sprays",
    place="sprays",
    many=marked("Sprays"),
    one=marked("a spray"),
    says=marked(
        "A sprayed bed is closed until the waiting time on the label is over: nothing is cut, nobody walks in."
    ),
    fields=(
        Field("bed", marked("Bed")),
        Field("date", marked("Day of the spray")),
        Field(
            "wait_until",
            marked("Last day of the waiting time"),
            marked("the label says it, for cutting and for walking in; take the longer"),
        ),
        Field("note", marked("What was sprayed"), marked("florists read it on the delivery note")),
    ),
    listed=_spray,
    made={"key": KEY_MADE},
    leave=marked(
        "The bed is open again at once, as if it had not been sprayed. Only for what was written down by mistake."
    ),
    newest_first=True,
)
TEMPERATURES = Table(
    collection="temperatures",
    place="temperatures",
    many=marked("Temperatures of days"),
    one=marked("a day"),
    says=marked("Measured on your farm. With a few years of days the forecast follows your own seasons."),
    fields=(
        Field("date", marked("Day")),
        Field("min_c", marked("Lowest of the day"), marked("degrees Celsius")),
        Field("max_c", marked("Highest of the day"), marked("degrees Celsius")),
    ),
    listed=_temperature,
    leave=marked("The forecast does without this day."),
    newest_first=True,
)
