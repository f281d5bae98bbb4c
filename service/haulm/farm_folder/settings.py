"""One table of farm.toml: every setting, in canonical order, with its TOML type, meaning and what is accepted."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from haulm.errors import NotAccepted
from haulm.farm.limits import (
    AMOUNT,
    BUNCHES_OF_A_BUCKET,
    CAREFUL,
    CONFIDENCE,
    COUNT_OF_ONE,
    DAYS,
    LATITUDE,
    MINUTES,
    MOST,
    NOTE_SENTENCE,
    PERCENT,
    TEMPERATURE_C,
    TEXT_SENTENCE,
    TWO_WEEKS,
    WEEKS,
    Limits,
)
from haulm.farm.products import KEY
from haulm.farm.site import Cutoff, MonthDay
from haulm.farm.words import USUAL_CLASS_ORDER, LineClass, Weekday
from haulm.farm_folder.kinds import number_text

FORMAT = 1
SEASON_GROUPS = ("hardy", "half_hardy")


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting: its name (that of the noun's field), what it accepts, how it is read from and written to TOML.

    `parse` raises ValueError, TypeError or NotAccepted on what it cannot read.
    """

    name: str
    accepted: str
    parse: Callable[[Any], Any]
    toml: Callable[[Any], str]
    meaning: str


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value.strip()


def _whole(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not abs(value) <= MOST:
        raise TypeError(value)
    return value


def _number(value: object) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool) or not abs(value) <= MOST:
        raise TypeError(value)
    return float(value) + 0.0


def _list(value: object) -> list[object]:
    if not isinstance(value, list):
        raise TypeError(value)
    return value


def _weekdays(value: object) -> tuple[Weekday, ...]:
    return tuple(Weekday(_text(item)) for item in _list(value))


def _classes(value: object) -> tuple[LineClass, ...]:
    return tuple(LineClass(_text(item)) for item in _list(value))


def _keys(value: object) -> tuple[str, ...]:
    keys = tuple(_text(item) for item in _list(value))
    if len(set(keys)) < len(keys) or not all(KEY.fullmatch(key) for key in keys):
        raise ValueError(keys)
    return keys


def _numbers(value: object) -> tuple[float, ...]:
    return tuple(_number(item) for item in _list(value))


def toml_string(value: object) -> str:
    """A TOML basic string; the escapes of JSON are among those of TOML."""
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def _strings(values: Sequence[object]) -> str:
    return f"[{', '.join(map(toml_string, values))}]"


def _number_list(values: Sequence[float]) -> str:
    return f"[{', '.join(map(number_text, values))}]"


def _string_setting(name: str, accepted: str, meaning: str) -> Setting:
    return Setting(name, accepted, _text, toml_string, meaning)


def _whole_setting(name: str, limits: Limits, meaning: str) -> Setting:
    return Setting(name, f"a whole number {limits.sentence}", _whole, str, meaning)


def _number_setting(name: str, limits: Limits, meaning: str) -> Setting:
    return Setting(name, f"a number {limits.sentence}", _number, number_text, meaning)


def _months_setting(name: str, meaning: str) -> Setting:
    accepted = f"12 numbers {TEMPERATURE_C.sentence}, January first"
    return Setting(name, accepted, _numbers, _number_list, meaning)


def _day_setting(name: str, meaning: str) -> Setting:
    accepted = 'a month and day such as "04-25"'
    return Setting(name, accepted, lambda value: MonthDay.parse(_text(value)), toml_string, meaning)


SITE_SETTINGS: tuple[Setting, ...] = (
    _string_setting("name", TEXT_SENTENCE, "name of the farm"),
    _number_setting("latitude", LATITUDE, "degrees, north positive [degrees]"),
    _string_setting("timezone", "a time zone such as Europe/London", "the farm's time zone"),
    _string_setting("currency", "three capital letters by ISO 4217, such as EUR", "currency of all prices"),
    Setting("cut_days", f"at least one of {', '.join(Weekday)}, each once", _weekdays, _strings, "days stems are cut"),
    Setting(
        "bucket_day",
        f"one of {', '.join(Weekday)}",
        lambda value: Weekday(_text(value)),
        toml_string,
        "day the bucket list is confirmed",
    ),
    _whole_setting("condition_days", TWO_WEEKS, "days a cut stem drinks before it may leave [days]"),
    _whole_setting("wedding_days_ahead", TWO_WEEKS, "days before a wedding its stems leave [days]"),
    Setting(
        "cutoff",
        'a weekday and a time such as "fri 18:00"',
        lambda value: Cutoff.parse(_text(value)),
        toml_string,
        "last hour to change an order for the coming bucket day",
    ),
    _whole_setting("bucket_bunches", BUNCHES_OF_A_BUCKET, "bunches that a bucket is counted as"),
    _number_setting(
        "careful_share", CAREFUL, "share of seasons that give less than the week's list calls theirs [0-1]"
    ),
    _number_setting("default_confidence", CONFIDENCE, "one level for every class: how sure a promise must be [0-1]"),
    Setting(
        "digest_days",
        f"at least one of {', '.join(Weekday)}, each once",
        _weekdays,
        _strings,
        "days of the early warning by mail, where anything is new",
    ),
    Setting(
        "short_letter_day",
        f"one of {', '.join(Weekday)}",
        lambda value: Weekday(_text(value)),
        toml_string,
        "day of the week on which a short letter comes though nothing is new",
    ),
    Setting(
        "work_days",
        f"at least one of {', '.join(Weekday)}, each once",
        _weekdays,
        _strings,
        "days somebody sows, plants and orders: nothing is advised for another",
    ),
    Setting(
        "class_order",
        f"all of {', '.join(USUAL_CLASS_ORDER)}, each once",
        _classes,
        _strings,
        "which class of demand comes first",
    ),
)
LEVEL_SETTINGS: tuple[Setting, ...] = tuple(
    _number_setting(name, CONFIDENCE, f"how sure {whose} must be where nobody says [0-1]")
    for name, whose in (
        ("wedding", "a wedding"),
        ("standing", "a standing order"),
        ("one_off", "a one-off order"),
        ("stall", "the stall's share"),
    )
)
FROST_SETTINGS: tuple[Setting, ...] = tuple(
    _day_setting(f"{which}_{quantile}", f"{words}: {share}")
    for which, words in (("last_spring", "last spring frost"), ("first_autumn", "first autumn frost"))
    for quantile, share in (
        ("p10", "one year in ten is earlier"),
        ("p50", "the middle year"),
        ("p90", "one year in ten is later"),
    )
)
TEMPERATURE_SETTINGS: tuple[Setting, ...] = (
    _months_setting("min_c", "mean daily minimum of each month [deg C]"),
    _months_setting("max_c", "mean daily maximum of each month [deg C]"),
)
SEASON_SETTINGS: tuple[Setting, ...] = (
    _day_setting("direct_from", "first day to sow outdoors"),
    _day_setting("direct_until", "last day to sow outdoors"),
    _day_setting("glass_until", "last day seed under glass is not too hot"),
)
PRICE_SETTINGS: tuple[Setting, ...] = (
    _whole_setting("stem_minor", AMOUNT, "price of a stem that has no other price [minor units]"),
    _whole_setting("labour_minor_per_hour", AMOUNT, "price of an hour of making [minor units]"),
    _whole_setting("delivery_minor", AMOUNT, "price of a delivery [minor units]"),
    _number_setting("tax_percent", PERCENT, "tax on prices, as the farm sets it [%]"),
    _whole_setting("seed_minor_per_place", AMOUNT, "cost of seed for one place [minor units]"),
)
COST_SETTINGS: tuple[Setting, ...] = (
    _whole_setting("plug_minor", AMOUNT, "a bought young plant [minor units]"),
    _whole_setting("plug_tray", COUNT_OF_ONE, "young plants in a tray as it is sold"),
    _whole_setting("plug_least", COUNT_OF_ONE, "the least young plants that are delivered"),
    _whole_setting("plug_weeks", WEEKS, "weeks from the order to the young plants [weeks]"),
    Setting(
        "plug_kinds",
        "keys of varieties, each once",
        _keys,
        _strings,
        "varieties that you can buy as young plants, beside those that commonly are",
    ),
    _whole_setting("tuber_minor", AMOUNT, "a tuber, corm or bulb [minor units]"),
    _whole_setting("tuber_bag", COUNT_OF_ONE, "tubers, corms or bulbs in a bag as it is sold"),
    _whole_setting("seed_days", DAYS, "days from ordering seed or tubers to having them [days]"),
    _whole_setting("bought_stem_minor", AMOUNT, "a stem bought from another grower [minor units]"),
    _whole_setting("bed_metre_week_minor", AMOUNT, "what a metre of bed is worth for a week [minor units]"),
    _whole_setting("tray_week_minor", AMOUNT, "what a tray's room on the bench is worth for a week [minor units]"),
    _whole_setting("work_minor_per_hour", AMOUNT, "an hour of sowing, planting or cutting [minor units]"),
)
QUOTE_SETTINGS: tuple[Setting, ...] = (
    _number_setting("spare_percent", PERCENT, "spare for breakage on the pieces of a quote [%]"),
    _number_setting("own_arranging_spare_percent", PERCENT, "the same where the couple arranges [%]"),
    _whole_setting("valid_days", DAYS, "days an offer stands [days]"),
    _whole_setting("final_numbers_days", DAYS, "days before the event by which the counts are final [days]"),
    _string_setting("substitution_clause", NOTE_SENTENCE, "what a quote says of substitutes"),
)
PAPER_SETTINGS: tuple[Setting, ...] = (
    _string_setting("address", NOTE_SENTENCE, "where the farm is, as its papers say it"),
    _string_setting("phone", TEXT_SENTENCE, "where the farm is called"),
    _string_setting("tax_number", TEXT_SENTENCE, "the farm's number for tax"),
    _string_setting("tax_name", TEXT_SENTENCE, "what the tax on its prices is called"),
    _string_setting("bank", NOTE_SENTENCE, "where money goes, word for word"),
    _string_setting("deposit", NOTE_SENTENCE, "what is paid beforehand, word for word"),
    _string_setting("terms", NOTE_SENTENCE, "what else is agreed, word for word"),
)
MINUTES_SETTING = _whole_setting("minutes", MINUTES, "minutes of making one piece, by piece [minutes]")


def parsed(setting: Setting, value: object) -> Any:
    """The value of a setting as TOML gave it.

    Raises:
        NotAccepted: it cannot be read as what the setting accepts.
    """
    try:
        return setting.parse(value)
    except (ValueError, TypeError, NotAccepted):
        raise NotAccepted(where=setting.name, found=toml_value(value), accepted=setting.accepted) from None


def toml_value(value: object) -> str:
    """A value as TOML had it, cut short, for a fault."""
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else f"{text[:60]}..."
