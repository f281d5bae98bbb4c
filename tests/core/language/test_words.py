"""Messages are said in the language that is spoken, and a pseudo-language shows which were sent to be translated."""

import gettext

import pytest

from haulm.language import words
from haulm.language.words import ENGLISH, PSEUDO, _, languages, many, marked, speaking, spoken


class Shouting(gettext.NullTranslations):
    """A language of capital letters."""

    def gettext(self, message: str) -> str:
        """The message, loud."""
        return message.upper()


@pytest.fixture
def shouting(monkeypatch: pytest.MonkeyPatch) -> str:
    """A second language."""
    monkeypatch.setattr(words, "_catalogues", lambda: {"sh": Shouting()})
    return "sh"


def test_the_messages_themselves_are_english() -> None:
    assert _("Nothing is short.") == "Nothing is short."
    assert languages()[0] == ENGLISH == spoken()


def test_a_language_is_spoken_until_the_end_of_the_block_and_no_longer(shouting: str) -> None:
    with speaking(shouting):
        assert _("Walk") == "WALK"
        with speaking(ENGLISH):
            assert _("Walk") == "Walk"
        assert spoken() == shouting
    assert _("Walk") == "Walk"
    assert languages() == (ENGLISH, shouting)


def test_a_language_without_a_catalogue_is_english() -> None:
    with speaking("xx"):
        assert _("Walk") == "Walk"


@pytest.mark.parametrize(
    ("count", "said"), [(0, "0 bunches"), (1, "1 bunch"), (2, "2 bunches"), (1200, "1,200 bunches")]
)
def test_a_count_takes_its_own_message(count: int, said: str) -> None:
    assert many("{count} bunch", "{count} bunches", count) == said


def test_what_is_marked_is_said_later(shouting: str) -> None:
    table = {"walk": marked("Walk")}
    with speaking(shouting):
        assert _(table["walk"]) == "WALK"


def test_pseudo_words_are_in_brackets_and_keep_places_and_tags() -> None:
    with speaking(PSEUDO):
        assert _("Cut {stems} of <b>it</b> by %(day)s").format(stems=3) == "⟦Çút 3 óf <b>ít</b> bý %(day)s⟧"
        assert many("{count} bunch", "{count} bunches", 2) == "⟦2 búñçhéš⟧"
