"""farm.toml: what it may say, and the one way in which it is written."""

import pytest

from haulm.farm.site import ClassLevels, Cutoff, MonthDay, PriceRules, SowingSeason
from haulm.farm.words import LineClass, Weekday
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.reader import read_texts
from haulm.farm_folder.site_file import site_text
from support.farms import MINIMAL_SITE, site

FROST_DAYS = [
    f"frost.{frost}_{quantile}" for frost in ("last_spring", "first_autumn") for quantile in ("p10", "p50", "p90")
]
FROST = 'last_spring_p10="04-10"\nlast_spring_p50="04-25"\nlast_spring_p90="05-10"\n'


def columns_at_fault(text: str) -> list[str | None]:
    """The settings of a farm.toml that are refused."""
    with pytest.raises(FolderRefused) as refusal:
        read_texts({"farm.toml": text.encode()})
    assert {fault.place for fault in refusal.value.faults} == {"farm.toml"}
    return [fault.column for fault in refusal.value.faults]


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("", ["format", "name", "latitude"]),
        (MINIMAL_SITE.replace("1", "2", 1), ["format"]),
        (MINIMAL_SITE.replace("1", "true", 1), ["format"]),
        (MINIMAL_SITE.replace("52.0", "91"), ["latitude"]),
        (MINIMAL_SITE.replace("52.0", '"52"'), ["latitude"]),
        (MINIMAL_SITE.replace("52.0", "nan"), ["latitude"]),
        (MINIMAL_SITE + "colour = 3\n", ["colour"]),
        (MINIMAL_SITE + 'cut_days = ["mon", "monday"]\n', ["cut_days"]),
        (MINIMAL_SITE + 'cut_days = "mon"\n', ["cut_days"]),
        (MINIMAL_SITE + "condition_days = 1.0\n", ["condition_days"]),
        (MINIMAL_SITE + f"condition_days = {'9' * 400}\n", ["condition_days"]),
        (MINIMAL_SITE + 'cutoff = "fri 25:00"\n', ["cutoff"]),
        (MINIMAL_SITE + 'class_order = ["stall"]\n', ["class_order"]),
        (MINIMAL_SITE + "frost = 3\n", ["frost"]),
        (MINIMAL_SITE + "[temperatures]\nmin_c = [1]\nmax_c = [3]\n", ["temperatures.min_c", "temperatures.max_c"]),
        (MINIMAL_SITE + "[temperatures]\nmin_c = [1]\n", ["temperatures.max_c"]),
        (MINIMAL_SITE + "[seasons.tender]\n", ["seasons.tender"]),
        (MINIMAL_SITE + '[seasons.hardy]\ndirect_from = "02-30"\n', ["seasons.hardy.direct_from"]),
        (MINIMAL_SITE + "[prices]\nstem = 3\n", ["prices.stem"]),
        (MINIMAL_SITE + "[levels]\nwedding = 1.0\nspare = 0.5\n", ["levels.spare"]),
        (MINIMAL_SITE + "[levels]\nwedding = 1.0\nstall = 0\n", ["levels.wedding", "levels.stall"]),
        (MINIMAL_SITE + "default_confidence = 0.8\n[levels]\nwedding = 0.8\n", ["levels"]),
        (MINIMAL_SITE + "[prices\n", [None]),
        (MINIMAL_SITE + "x = " + "[" * 5000, [None]),
    ],
)
def test_a_setting_that_cannot_be_accepted_is_named(text: str, columns: list[str | None]) -> None:
    assert columns_at_fault(text) == columns


def test_frost_is_given_whole_or_not_at_all() -> None:
    missing = columns_at_fault(MINIMAL_SITE + "[frost]\n" + FROST)

    assert missing == FROST_DAYS[3:]


def test_an_unknown_setting_is_refused_with_those_that_are_known() -> None:
    with pytest.raises(FolderRefused, match=r"unknown setting 'longitude'; accepted is one of format, name, latitude"):
        read_texts({"farm.toml": (MINIMAL_SITE + "longitude = 4\n").encode()})


def test_a_site_of_defaults_is_three_lines() -> None:
    assert site_text(site()) == 'format = 1\nname = "Test farm"\nlatitude = 52\n'


def test_every_table_is_written_once_and_only_what_differs() -> None:
    found = site(
        name='Anna\'s "field" \\ é',
        latitude=-41.25,
        cut_days=(Weekday.TUE,),
        cutoff=Cutoff.parse("sun 07:30"),
        class_order=tuple(reversed(LineClass)),
        seasons={"half_hardy": SowingSeason(glass_until=MonthDay(12, 1)), "hardy": SowingSeason(MonthDay(8, 1))},
        prices=PriceRules(tax_percent=12.5),
    )

    assert site_text(found) == (
        'format = 1\nname = "Anna\'s \\"field\\" \\\\ é"\nlatitude = -41.25\ncut_days = ["tue"]\ncutoff = "sun 07:30"\n'
        'class_order = ["stall", "hold", "spare", "one_off", "standing", "wedding"]\n\n'
        '[seasons.hardy]\ndirect_from = "08-01"\n\n[seasons.half_hardy]\nglass_until = "12-01"\n\n'
        "[prices]\ntax_percent = 12.5\n"
    )
    assert read_texts({"farm.toml": site_text(found).encode()}).site == found


def test_a_byte_order_mark_and_other_line_ends_are_accepted() -> None:
    typed = b"\xef\xbb\xbf" + MINIMAL_SITE.replace("\n", "\r").encode()

    assert read_texts({"farm.toml": typed}).site == site()


def test_one_level_for_all_is_always_written_and_levels_by_class_where_they_differ() -> None:
    assert site_text(site(default_confidence=0.8)).endswith("latitude = 52\ndefault_confidence = 0.8\n")
    assert site_text(site(levels=ClassLevels(standing=0.7))).endswith("latitude = 52\n\n[levels]\nstanding = 0.7\n")
