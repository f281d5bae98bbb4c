"""Money in words: prices of bunches, and what a piece takes."""

from __future__ import annotations

from haulm.farm.orders import Price, Recipe
from haulm.jobs.desk.money_words import money_words
from haulm.language.words import _, marked
from haulm.pages.rows.names import Names, stems_words
from haulm.pages.rows.page_words import Field, Listed, Table


def _price(names: Names, row: Price) -> Listed:
    bunch = "" if row.bunch_stems is None else _("bunches of {count}").format(count=row.bunch_stems)
    price = "" if row.price_minor is None else money_words(row.price_minor, names.farm.site.currency)
    return Listed(names.title("prices", row), tuple(filter(None, (price, bunch))))


def _recipe(names: Names, row: Recipe) -> Listed:
    return Listed(names.title("recipes", row), tuple(filter(None, (stems_words(row.stems), row.note))))


PRICES = Table(
    collection="prices",
    place="prices",
    many=marked("Prices"),
    one=marked("a price"),
    says=marked("Of a bunch, for everybody or for one customer. What was agreed before keeps the price it had."),
    fields=(
        Field("product", marked("What is sold")),
        Field("price_minor", marked("Price of a bunch"), empty=marked("the kind's own")),
        Field("bunch_stems", marked("Stems in a bunch"), empty=marked("the kind's own")),
        Field("customer", marked("For whom"), empty=marked("everybody")),
        Field("length_cm", marked("From this length on, in centimetres"), empty=marked("any length")),
        Field("first_week", marked("From which week on"), empty=marked("always")),
    ),
    listed=_price,
    leave=marked("The kind's own price holds again. Lines that took this price keep it."),
)
RECIPES = Table(
    collection="recipes",
    place="recipes",
    many=marked("Recipes"),
    one=marked("a recipe line"),
    says=marked("How many stems of a role one piece takes, such as 12 filler for a bridal bouquet."),
    fields=(
        Field("piece", marked("Piece"), marked("such as bridal bouquet")),
        Field("role", marked("Role")),
        Field("stems", marked("Stems for one piece")),
        Field("note", marked("Note")),
    ),
    listed=_recipe,
    filter_by="role",
    leave=marked("The piece takes none of this role any more; quotes that stand keep what they say."),
)
