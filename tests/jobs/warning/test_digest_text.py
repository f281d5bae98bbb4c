"""The early warning as a letter: narrow, fifteen lines, and never without what is due within a week."""

from datetime import date, timedelta
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.weeks import day_in_words, near_day_in_words
from haulm.jobs.growing.short_jobs import ShortJob, Sort, in_place
from haulm.jobs.warning.digest_text import digest_text
from haulm.jobs.warning.letter_lines import FIRST, MOST_LINES, SHORT, WAITING, WORK, Body, Fold, Item, fitted
from haulm.jobs.warning.warn_early import Digest

DAY = date(2027, 6, 28)
DOES = ("{} done", "sow {} under cover", "order seed of {}", "plant {} out into Long bed three")
MANY = (0, 1, 3, 6, 12, 25, 50, 90)
"""Jobs of a week: quiet farms and such as no one farm has."""


def job(dice: Random, first: int, last: int) -> ShortJob:
    """A job between two days from the letter's on, its name up to twelve words long."""
    more = "of some name " * dice.choice((0, 0, 0, 1, 4))
    day = DAY + timedelta(days=dice.randint(first, last))
    name = f"Kind {dice.randrange(10**6)}"
    return ShortJob(
        day, dice.choice(list(Sort)), dice.choice(DOES), f"{name} ({more}{dice.randrange(300)} places)", name
    )


def due(section: str, one: ShortJob) -> Item:
    """A job that is due within a week."""
    return Item(section, f"By {day_in_words(one.day)}: {in_place(one.does, one.what)}", must=True, job=one)


def farm(dice: Random) -> list[Item]:
    """What there is to say of a farm, in the order of the letter: jobs of the week, news with time, other news."""
    of_the_week = [due(dice.choice((SHORT, WORK)), job(dice, 0, 7)) for _ in range(dice.choice(MANY))]
    with_time = [job(dice, 8, 90) for _ in range(dice.randrange(9))]
    words = ["No word is due. " * dice.randint(1, 12) for _ in range(dice.randrange(9))]
    return [
        *of_the_week,
        *(Item(SHORT, f"By a day: {one.what}", job=one, is_first=dice.random() < 0.3) for one in with_time),
        *(Item(dice.choice((FIRST, SHORT, WORK, WAITING)), text) for text in words),
    ]


FARMS = st.integers(0, 2**32).map(lambda seed: farm(Random(seed)))


def letter(items: list[Item], missing: str | None = None) -> str:
    """The letter of a quiet day, with what there is to say put in."""
    return digest_text(Digest("Farm", DAY, "at 80 % sure", (), 0, (), missing, body=fitted(items, DAY)))


def said_of(body: Body, job: ShortJob) -> bool:
    """Whether a letter says a job's day, and beside it what it is, or its sort."""
    for one in body.paragraphs:
        on_its_day = one.text.removeprefix("By ").startswith(near_day_in_words(job.day))
        if on_its_day and (job.name in one.text or job.sort in one.text):
            return True
        day = rf" {job.day.day}"
        if body.fold is Fold.SORTS and f" {job.sort}: " in one.text and day in one.text.replace(",", " "):
            return True
    return False


@given(FARMS)
def test_a_letter_has_fifteen_lines_at_most_and_every_job_of_the_week_with_its_day(items: list[Item]) -> None:
    body = fitted(items, DAY)

    assert len(body.lines) <= MOST_LINES
    assert all(item.job is not None and said_of(body, item.job) for item in items if item.must)
    assert [item for item in body.items if item.must] == [item for item in items if item.must]


@given(FARMS)
def test_no_line_is_wider_than_76_and_what_is_cut_or_only_counted_has_its_place(items: list[Item]) -> None:
    body = fitted(items, DAY)
    last, said = body.more, " ".join(one.text for one in body.paragraphs)

    assert max(map(len, letter(items, "no forecast " * 20).splitlines())) <= 76
    assert body.cut == len(items) - len(body.items)
    assert not body.cut or f"And {body.cut} more" in last
    jobs = [item.job for item in body.items if item.must]
    assert all(one is not None and one.name in said for one in jobs) or "by name on the pages Today and Short" in last


@given(FARMS)
def test_a_large_gap_that_no_letter_told_comes_before_other_news(items: list[Item]) -> None:
    news = [item for item in items if not item.must]
    large = [item for item in news if item.is_first]

    if large and len(fitted(large[:1], DAY).lines) < MOST_LINES:
        assert large[0] in fitted(news, DAY).items


def test_a_letter_folds_no_further_than_it_has_to() -> None:
    def week(count: int, section: str = SHORT) -> list[Item]:
        days = [DAY + timedelta(days=number % 8) for number in range(count)]
        jobs = [ShortJob(day, Sort.SOW, f"sow {{}} in bed {n}", f"Kind {n}") for n, day in enumerate(days)]
        return [due(section, one) for one in jobs]

    assert fitted(week(3), DAY).fold is Fold.OWN_WORDS
    assert fitted(week(16), DAY).fold is Fold.NAMED
    assert fitted([*week(4), *week(60, WORK)], DAY).fold is Fold.WORK_COUNTED
    much = [ShortJob(DAY, Sort.SOW, "sow {}", f"Kind {n} ({'of much ' * 9})", f"Kind {n}") for n in range(16)]
    assert fitted([*(due(SHORT, one) for one in much), *week(8, WORK)], DAY).fold is Fold.BARE
    assert fitted([*week(160), *week(60, WORK)], DAY).fold is Fold.COUNTED
    assert "10 to sow" in " ".join(fitted(week(80), DAY).lines)


def test_a_quiet_day_says_so() -> None:
    text = letter([])

    assert "Nothing is short at 80 % sure." in text
    assert "Nothing is due on the farm in the coming week." in text
