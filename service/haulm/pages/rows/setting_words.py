"""The farm's settings in words: what each is, how it is typed, and under which heading it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulm.language.words import marked
from haulm.pages.rows.choice_words import WORDS
from haulm.pages.rows.list_widgets import NameList
from haulm.pages.rows.page_words import Field
from haulm.pages.rows.setting_widgets import (
    CLASS_WORDS,
    DayOfYear,
    Hour,
    InOrder,
    MinutesByPiece,
    Months,
    Weekdays,
)
from haulm.pages.rows.widgets import Money, Note, Number, Percent, Pick, Text, Whole, Widget


@dataclass(frozen=True, slots=True)
class SettingGroup:
    """Settings under one heading; `anchor` is its name in addresses."""

    anchor: str
    heading: str
    fields: tuple[Field, ...]


def _field(name: str, widget: Widget, label: str, hint: str = "", empty: str = "") -> Field:
    return Field(name, label, hint, empty, "", widget)


_WEEKDAY = Pick(WORDS["weekday"])
_STARTING = marked("a starting figure")
_OWN = marked("nothing said")
_RECKONED = marked("reckoned from frost and daylight")

GROUPS: Sequence[SettingGroup] = (
    SettingGroup(
        "place",
        marked("Place"),
        (
            _field("name", Text(), marked("Name of the farm")),
            _field(
                "latitude", Number(), marked("Degrees of latitude"), marked("north of the equator, south with a minus")
            ),
            _field("timezone", Text(), marked("Time zone"), marked("such as Europe/London")),
        ),
    ),
    SettingGroup(
        "climate",
        marked("Frost and temperatures"),
        (
            _field(
                "frost.last_spring_p10", DayOfYear(), marked("Last spring frost, early: one year in ten is over by")
            ),
            _field("frost.last_spring_p50", DayOfYear(), marked("Last spring frost, the middle year")),
            _field(
                "frost.last_spring_p90", DayOfYear(), marked("Last spring frost, late: nine years in ten are over by")
            ),
            _field(
                "frost.first_autumn_p10", DayOfYear(), marked("First autumn frost, early: one year in ten has it by")
            ),
            _field("frost.first_autumn_p50", DayOfYear(), marked("First autumn frost, the middle year")),
            _field(
                "frost.first_autumn_p90", DayOfYear(), marked("First autumn frost, late: nine years in ten have it by")
            ),
            _field(
                "temperatures.min_c", Months(), marked("Usual lowest of a day"), marked("degrees Celsius, by month")
            ),
            _field(
                "temperatures.max_c", Months(), marked("Usual highest of a day"), marked("degrees Celsius, by month")
            ),
        ),
    ),
    SettingGroup(
        "season",
        marked("When sowing is possible"),
        (
            _field("seasons.hardy.direct_from", DayOfYear(), marked("Hardy kinds outdoors, from"), "", _RECKONED),
            _field("seasons.hardy.direct_until", DayOfYear(), marked("Hardy kinds outdoors, until"), "", _RECKONED),
            _field("seasons.hardy.glass_until", DayOfYear(), marked("Hardy kinds under glass, until"), "", _RECKONED),
            _field(
                "seasons.half_hardy.direct_from", DayOfYear(), marked("Half-hardy kinds outdoors, from"), "", _RECKONED
            ),
            _field(
                "seasons.half_hardy.direct_until",
                DayOfYear(),
                marked("Half-hardy kinds outdoors, until"),
                "",
                _RECKONED,
            ),
            _field(
                "seasons.half_hardy.glass_until",
                DayOfYear(),
                marked("Half-hardy kinds under glass, until"),
                "",
                _RECKONED,
            ),
        ),
    ),
    SettingGroup(
        "week",
        marked("The week"),
        (
            _field("cut_days", Weekdays(), marked("Days you cut")),
            _field("bucket_day", _WEEKDAY, marked("Day the bucket list is made")),
            _field("cutoff", Hour(), marked("Florists may change their order until")),
            _field("work_days", Weekdays(), marked("Days somebody sows, plants and orders")),
            _field(
                "digest_days", Weekdays(), marked("Days of the early warning by mail"), marked("where anything is new")
            ),
            _field("short_letter_day", _WEEKDAY, marked("Day of a short letter though nothing is new")),
            _field("condition_days", Whole(), marked("Days a cut stem drinks before it leaves")),
            _field("wedding_days_ahead", Whole(), marked("Days before a wedding its stems leave")),
            _field("bucket_bunches", Whole(), marked("Bunches in a bucket"), marked("where an order says buckets")),
        ),
    ),
    SettingGroup(
        "sure",
        marked("How sure a promise must be"),
        (
            _field("levels.wedding", Percent(), marked("A wedding"), marked("in percent of seasons")),
            _field("levels.standing", Percent(), marked("A standing order"), marked("in percent of seasons")),
            _field("levels.one_off", Percent(), marked("A single order"), marked("in percent of seasons")),
            _field("levels.stall", Percent(), marked("The stall"), marked("in percent of seasons")),
            _field(
                "default_confidence",
                Percent(),
                marked("Or one level for all"),
                marked("then leave the four above empty"),
                marked("a level for each"),
            ),
            _field(
                "careful_share",
                Percent(),
                marked("Seasons that may give less than the week's list calls theirs"),
                marked("in percent"),
            ),
            _field(
                "class_order",
                InOrder(CLASS_WORDS),
                marked("Who is served first"),
                marked("one to a line: an earlier one keeps what it has"),
            ),
        ),
    ),
    SettingGroup(
        "money",
        marked("Money"),
        (
            _field("currency", Text(), marked("Currency"), marked("three letters, such as EUR")),
            _field("prices.stem_minor", Money(), marked("A stem that has no other price")),
            _field("prices.labour_minor_per_hour", Money(), marked("An hour of making, as you charge it")),
            _field("prices.delivery_minor", Money(), marked("A delivery")),
            _field("prices.tax_percent", Number(), marked("Tax on prices, in percent"), marked("as you set it")),
            _field("papers.tax_name", Text(), marked("What that tax is called"), "", marked("tax")),
            _field("prices.seed_minor_per_place", Money(), marked("Seed for one place, as you charge it")),
            _field("costs.plug_minor", Money(), marked("A bought young plant costs you"), "", _STARTING),
            _field("costs.plug_tray", Whole(), marked("Young plants in a tray as it is sold"), "", _STARTING),
            _field("costs.plug_least", Whole(), marked("The least young plants that are delivered"), "", _STARTING),
            _field("costs.plug_weeks", Whole(), marked("Weeks from ordering to the young plants"), "", _STARTING),
            _field(
                "costs.plug_kinds",
                NameList(),
                marked("Kinds you can buy as young plants"),
                marked("one to a line, beside those that commonly are"),
                marked("no others"),
            ),
            _field("costs.tuber_minor", Money(), marked("A tuber, corm or bulb costs you"), "", _STARTING),
            _field("costs.tuber_bag", Whole(), marked("Tubers in a bag as it is sold"), "", _STARTING),
            _field("costs.seed_days", Whole(), marked("Days from ordering seed to having it"), "", _STARTING),
            _field("costs.bought_stem_minor", Money(), marked("A stem bought from another grower"), "", _STARTING),
            _field("costs.bed_metre_week_minor", Money(), marked("A metre of bed for a week is worth"), "", _STARTING),
            _field("costs.tray_week_minor", Money(), marked("A tray's room for a week is worth"), "", _STARTING),
            _field(
                "costs.work_minor_per_hour",
                Money(),
                marked("An hour of your work"),
                "",
                marked("hours are not counted"),
            ),
        ),
    ),
    SettingGroup(
        "quotes",
        marked("Quotes"),
        (
            _field("quotes.spare_percent", Number(), marked("Spare for breakage, in percent")),
            _field("quotes.own_arranging_spare_percent", Number(), marked("The same where the couple arranges")),
            _field("quotes.valid_days", Whole(), marked("Days an offer stands")),
            _field("quotes.final_numbers_days", Whole(), marked("Days before the event counts are final")),
            _field("quotes.substitution_clause", Note(), marked("What a quote says of stand-ins")),
            _field(
                "quotes.minutes",
                MinutesByPiece(),
                marked("Minutes of making a piece"),
                marked("one to a line, such as bridal bouquet 45"),
                marked("starting figures"),
            ),
        ),
    ),
    SettingGroup(
        "papers",
        marked("What stands on papers"),
        (
            _field("papers.address", Note(), marked("Address"), "", _OWN),
            _field("papers.phone", Text(), marked("Phone"), "", _OWN),
            _field("papers.tax_number", Text(), marked("Tax number"), "", _OWN),
            _field("papers.bank", Note(), marked("Where money goes"), marked("your bank, word for word"), _OWN),
            _field("papers.deposit", Note(), marked("What is paid beforehand"), marked("word for word"), _OWN),
            _field(
                "papers.terms", Note(), marked("What else is agreed"), marked("word for word; not legal advice"), _OWN
            ),
        ),
    ),
)
FIELDS: Mapping[str, Field] = {field.name: field for group in GROUPS for field in group.fields}
