"""Who takes the stems, in words: customers, standing orders with lines and changed weeks, weddings, single orders."""

from __future__ import annotations

from haulm.farm.orders import Change, Customer, Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.products import Product
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.money_words import money_words
from haulm.language.words import _, many, marked
from haulm.pages.rows.ground import KEY_MADE
from haulm.pages.rows.list_widgets import AnyOf
from haulm.pages.rows.names import Names
from haulm.pages.rows.page_words import Field, Listed, Table
from haulm.pages.rows.quantity import Stems, in_bunches
from haulm.pages.rows.widgets import At, Pick

_WHAT = marked("What it may be, if not just that")
_PRICE = marked("The price it keeps")
_MORE = marked("More")
_EVERY = {"1": marked("every week"), "2": marked("every second week")}


def _customer(names: Names, row: Customer) -> Listed:
    figures = (names.word("customers", "kind", row.kind), row.email or row.phone or _("no mail"))
    return Listed(names.of("customers", row.key), figures)


def _standing(names: Names, row: StandingOrder) -> Listed:
    lines = sum(one.order == row.key for one in names.farm.standing_lines)
    figures = (names.word("standing_orders", "status", row.status), many("{count} line", "{count} lines", lines))
    return Listed(names.title("standing_orders", row), figures)


def _order(names: Names, row: Order) -> Listed:
    leaves = _("leaves {day}").format(day=day_in_words(row.due_date))
    lines = sum(one.order == row.key for one in names.farm.order_lines)
    figures = (names.word("orders", "status", row.status), leaves, many("{count} line", "{count} lines", lines))
    return Listed(names.title("orders", row), figures)


def _line(names: Names, row: StandingLine | OrderLine) -> Listed:
    asked = row.product if isinstance(row.product, Product) else None
    amount = in_bunches(At(names, row.order), row.stems, asked, row.order)
    spare = many("{count} spare", "{count} spare", row.spare) if isinstance(row, OrderLine) and row.spare else ""
    price = ""
    if row.bunch_price_minor is not None:
        money = money_words(row.bunch_price_minor, names.farm.site.currency)
        price = _("{money} a bunch of {count}").format(money=money, count=row.bunch_stems)
    return Listed(names.asked(row), tuple(filter(None, (amount, spare, price))))


def _change(names: Names, row: Change) -> Listed:
    return Listed(names.title("changes", row), (row.note,) if row.note else ())


_ASKED: tuple[Field, ...] = (
    Field("order", marked("Order"), only_new=True),
    Field("product", marked("What is asked"), empty=marked("choose, or say a choice below")),
    Field("stems", marked("How many"), marked("each time"), widget=Stems()),
    Field(
        "choice",
        marked("Or a choice of yours"),
        marked("any role, colour or kind that you tick or name"),
        group=_WHAT,
        widget=AnyOf(),
    ),
    Field(
        "substitutes",
        marked("What may come instead"),
        marked("one to a line, the best first, such as White ammi"),
        marked("nothing named"),
        _WHAT,
    ),
    Field("minimum", marked("Fewer are not worth sending"), marked("stems"), marked("any number"), _WHAT),
    Field("stage", marked("Cut stage asked"), "", marked("any"), _WHAT),
    Field("min_length_cm", marked("Least length in centimetres"), "", marked("any"), _WHAT),
    Field(
        "max_each",
        marked("Most stems of one kind"),
        marked("of a choice"),
        marked("half of them, rounded up"),
        _WHAT,
    ),
    Field("max_age_days", marked("Most days since cutting"), "", marked("as long as the kind keeps"), _WHAT),
)
_KEPT: tuple[Field, ...] = (
    Field(
        "promised_confidence",
        marked("How sure it was promised"),
        marked("in percent; the farm's own level where nothing was said"),
        marked("nothing said"),
        _MORE,
    ),
    Field("bunch_price_minor", marked("Price of a bunch"), "", marked("the price list's, kept from now on"), _PRICE),
    Field("bunch_stems", marked("Stems of that bunch"), "", marked("the price list's"), _PRICE),
    Field("price_from", marked("How the price came about"), "", "", _PRICE),
)

CUSTOMERS = Table(
    collection="customers",
    place="customers",
    many=marked("Customers"),
    one=marked("a customer"),
    says=marked("Florists, couples and whoever else takes stems. Keep only what you need of them."),
    fields=(
        Field("name", marked("Name"), marked("on papers and letters")),
        Field("kind", marked("Who it is")),
        Field("email", marked("Email"), marked("where letters go"), marked("no letters")),
        Field("phone", marked("Phone"), marked("where you ring or write by phone"), marked("no number")),
        Field("notice_days", marked("Days of notice a change needs"), empty=marked("2")),
    ),
    listed=_customer,
    made={"key": marked("made from who it is and a number, never from the name")},
    parts=("standing_orders", "orders"),
    filter_by="kind",
    leave=marked("The name and the address of mail are forgotten at once, for good."),
)
STANDING_ORDERS = Table(
    collection="standing_orders",
    place="standing-orders",
    many=marked("Standing orders"),
    one=marked("a standing order"),
    says=marked("What goes to the same customer every week, or every second one, with its lines and changed weeks."),
    fields=(
        Field("customer", marked("Customer")),
        Field("weekday", marked("Day the stems leave")),
        Field("first_week", marked("First week")),
        Field("last_week", marked("Last week, this one too")),
        Field("every", marked("How often"), widget=Pick(_EVERY)),
        Field("status", marked("Whether it runs"), marked("a pause sends nothing until it runs again")),
        Field(
            "committed_on",
            marked("Day it was agreed"),
            marked("who asked earlier is served earlier"),
            marked("not known"),
            _MORE,
        ),
    ),
    listed=_standing,
    made={"key": KEY_MADE},
    parts=("standing_lines", "changes"),
    filter_by="status",
    end=(
        "status",
        "ended",
        marked("Nothing of it leaves any more, and its stems are free for others. What was sent stays."),
    ),
    leave=marked("As if it had never been agreed, with its lines. One that simply stops is better set to ended."),
)
STANDING_LINES = Table(
    collection="standing_lines",
    place="standing-lines",
    many=marked("Lines"),
    one=marked("a line"),
    says="",
    fields=(*_ASKED, *_KEPT),
    listed=_line,
    made={"key": KEY_MADE},
    parent="order",
    leave=marked("The stems of this line are free again."),
)
CHANGES = Table(
    collection="changes",
    place="changes",
    many=marked("Changed weeks"),
    one=marked("a changed week"),
    says="",
    fields=(
        Field("order", marked("Order"), only_new=True),
        Field("week", marked("Week")),
        Field("stems", marked("Stems that week instead"), marked("0 leaves it out")),
        Field("line", marked("Of which line"), empty=marked("of every line")),
        Field("note", marked("Note")),
    ),
    listed=_change,
    made={"key": KEY_MADE},
    parent="order",
    leave=marked("The week is as the order says it again."),
)
ORDERS = Table(
    collection="orders",
    place="orders",
    many=marked("Weddings and single orders"),
    one=marked("an order"),
    says=marked("What leaves once, on one day. A wedding made of pieces begins as a quote."),
    fields=(
        Field("customer", marked("Customer")),
        Field("kind", marked("What it is for")),
        Field("due_date", marked("Day the stems leave")),
        Field("event_date", marked("Day of the event"), marked("for a wedding or another event")),
        Field("final_numbers_date", marked("Last day to change counts"), "", marked("none"), _MORE),
        Field("unacceptable", marked("Kinds they do not want"), marked("one to a line"), marked("none"), _MORE),
        Field("committed_on", marked("Day of the first hold or contract"), "", marked("not known"), _MORE),
        Field("hold_until", marked("Last day of the hold"), marked("for an order on hold"), marked("none"), _MORE),
    ),
    listed=_order,
    made={"key": KEY_MADE},
    elsewhere={"status": ("/quotes/{key}", "/quotes/{key}/hold")},
    parts=("order_lines",),
    filter_by="status",
    leave=marked("As if nobody had asked, with its lines."),
)
ORDER_LINES = Table(
    collection="order_lines",
    place="order-lines",
    many=marked("Lines"),
    one=marked("a line"),
    says="",
    fields=(
        *_ASKED,
        Field("spare", marked("Spare stems"), marked("for breakage, on top"), marked("none"), _WHAT),
        Field("no_substitute", marked("Nothing else will do"), "", "", _WHAT),
        Field("agreed_price_minor", marked("One price for the whole line"), "", marked("by the bunch"), _PRICE),
        Field("part", marked("Part of a wedding in two parts"), "", marked("no parts"), _MORE),
        *_KEPT,
    ),
    listed=_line,
    made={"key": KEY_MADE},
    parent="order",
    leave=marked("The stems of this line are free again."),
)
