"""One table of the farm folder: every file, its columns in canonical order, their kinds, meanings and defaults."""

from __future__ import annotations

from haulm.farm.at_home import AtHome
from haulm.farm.batches import Batch
from haulm.farm.beds import Bed, Spray
from haulm.farm.limits import NUMBERS
from haulm.farm.orders import Change, Customer, Order, OrderLine, Price, Recipe, StandingLine, StandingOrder
from haulm.farm.past_years import PastYear
from haulm.farm.piece_decisions import ASKED_USES, PieceDecision
from haulm.farm.records import DayTemperature, KnownStems, Record
from haulm.farm.usual_sales import UsualSale
from haulm.farm.varieties import Variety
from haulm.farm.words import (
    BatchStatus,
    BedKind,
    CustomerKind,
    Decision,
    Form,
    Grade,
    Habit,
    InHand,
    LifeCycle,
    LossReason,
    Method,
    Needed,
    OrderKind,
    OrderPart,
    OrderStatus,
    PriceFrom,
    RecordKind,
    Role,
    StandingStatus,
    Use,
    UsualSource,
    Weekday,
    WinterCover,
)
from haulm.farm_folder.column import Column, FileSpec, decimal_column, key_column, whole_column
from haulm.farm_folder.kinds import (
    CHOICE,
    DATE,
    EMAIL,
    FLAG,
    KEY_CELL,
    KEYS,
    LENGTHS,
    MOMENT,
    NOTE,
    PHONE,
    PRODUCT,
    PRODUCTS,
    STAGES,
    TEXT,
    WEEK,
    whole,
    word,
)

FROM_LIBRARY = "the crop library's"
NOT_KNOWN = "not known"
_FILLED_IN = "the list's, kept from the day the line is made or held"


def _through(name: str, figure: str) -> Column:
    kind = whole(NUMBERS["varieties"][name])
    meaning = f"last season that the farm's own {figure} holds already; what was seen up to then is not counted again"
    return Column(name, kind, meaning, "no season of the farm's own", rare=True)


_VARIETIES = (
    key_column("the farm's own short name of the variety"),
    Column("name", TEXT, "name on lists and labels"),
    Column("botanical_name", TEXT, "botanical name", FROM_LIBRARY),
    Column("life_cycle", word(LifeCycle), "how it lives, which decides what frost does to it", FROM_LIBRARY),
    Column("role", word(Role), "what a stem does in a bunch", FROM_LIBRARY),
    Column("colour", TEXT, "colour, for choices"),
    Column("habit", word(Habit), "how a batch gives its stems over time", FROM_LIBRARY),
    decimal_column(
        "varieties",
        "weeks_to_flower",
        "weeks from sowing to first cut, for a sowing in mid-April (mid-October in the south) [weeks]",
        FROM_LIBRARY,
    ),
    decimal_column("varieties", "harvest_weeks", "how long a batch is cut [weeks]", FROM_LIBRARY),
    decimal_column(
        "varieties", "stems_per_plant", "usable stems of one place (cell, pot, clump) [stems]", FROM_LIBRARY
    ),
    decimal_column("varieties", "germination_pct", "share of places sown that come up [%]", FROM_LIBRARY),
    decimal_column("varieties", "germination_days", "days from sowing until most are up [days]", FROM_LIBRARY),
    whole_column("varieties", "seeds_per_place", "seeds sown in one place [seeds]", FROM_LIBRARY),
    decimal_column("varieties", "weeks_to_plant_out", "weeks from sowing to planting out [weeks]", FROM_LIBRARY),
    whole_column("varieties", "harden_days", "days of hardening off [days]", FROM_LIBRARY),
    decimal_column("varieties", "kill_c", "temperature that kills it [deg C]", FROM_LIBRARY),
    decimal_column("varieties", "spacing_cm", "distance in the row [cm]", FROM_LIBRARY),
    decimal_column("varieties", "row_cm", "distance between rows [cm]", FROM_LIBRARY),
    whole_column("varieties", "hold_days", "days a cut stem keeps in the cool store [days]", FROM_LIBRARY),
    whole_column("varieties", "stand_days", "days a ready stem stands in the field [days]", FROM_LIBRARY),
    whole_column("varieties", "dry_days", "days of hanging until dry [days]", FROM_LIBRARY),
    whole_column("varieties", "dried_keep_days", "days a dried stem keeps [days]", "the crop library's, else it keeps"),
    Column(
        "lengths", LENGTHS, "shares of stems by length class [cm:share]", "not graded: serves lines that ask no length"
    ),
    Column("stages", STAGES, "cut stages by days after ready [name:colour:days]", "no stages"),
    whole_column("varieties", "bunch_stems", "stems in a bunch [stems]", FROM_LIBRARY),
    whole_column("varieties", "price_minor", "price of one fresh bunch [minor units]", "not priced"),
    whole_column("varieties", "dried_price_minor", "price of one dried bunch [minor units]", "not priced"),
    Column("food_use", FLAG, "whether the grower sells it for food", FROM_LIBRARY),
    Column("caution", TEXT, "a caution that goes with every stem, beside the library's own", FROM_LIBRARY),
    Column(
        "kind",
        KEY_CELL,
        "what it is a cultivar of: cultivars of a kind are early, late, rich or poor together",
        "the crop library's, else itself",
        rare=True,
    ),
    _through("weeks_through", "weeks_to_flower"),
    _through("stems_through", "stems_per_plant"),
)
_BEDS = (
    key_column("the bed's short name"),
    Column("name", TEXT, "name on lists"),
    decimal_column("beds", "metres", "length of the bed [m]", NOT_KNOWN),
    decimal_column("beds", "width_cm", "width of the bed [cm]"),
    whole_column("beds", "trays", "trays a bench holds [trays]", NOT_KNOWN),
    Column("kind", word(BedKind), "where plants or trays stand"),
    whole_column("beds", "walk", "place in the order of walking", "after the beds that have one"),
)
_BATCHES = (
    key_column("the batch's short name"),
    Column("variety", KEY_CELL, "key of its variety"),
    Column("sow_date", DATE, "day it is or was sown (or planted, where it is not sown)", NOT_KNOWN),
    Column("method", word(Method), "how it is started"),
    Column("form", word(Form), "what its stems are grown for"),
    whole_column(
        "batches", "sown", "places sown (cell, pot, clump, station), never seeds [places]", "as many as plants"
    ),
    whole_column("batches", "plants", "places wanted in the bed [places]", "what comes up of the sown"),
    decimal_column("batches", "trays", "trays it takes on a bench [trays]"),
    Column("tray", TEXT, "name of the tray; several batches may share one"),
    Column("bed", KEY_CELL, "key of the bed it stands or will stand in"),
    decimal_column("batches", "metres", "bed length it takes [m]", NOT_KNOWN),
    Column("plant_out_date", DATE, "day it is or was planted out", "sow_date and weeks_to_plant_out"),
    Column("status", word(BatchStatus), "where it stands"),
    Column("winter_cover", word(WinterCover), "what it gets for the winter beside its tunnel", rare=True),
    Column(
        "lot",
        TEXT,
        "what comes up or stays away as one: seed of one packet, sown on one day",
        "the tray, else the batch",
        rare=True,
    ),
)
_RECORDS = (
    key_column("the record's key"),
    Column("date", DATE, "day it was seen or done"),
    Column("kind", word(RecordKind), "what was seen or done"),
    Column("batch", KEY_CELL, "key of the batch it is about", "the variety, or the whole farm"),
    Column("variety", KEY_CELL, "key of a variety, split over its ready batches", "the batch, or the whole farm"),
    whole_column(
        "records", "count", "plants or stems, as the kind says; germinated, planted, standing and cut need one"
    ),
    whole_column("records", "left", "stems left standing after a cut [stems]", NOT_KNOWN),
    Column("final", FLAG, "whether a germination count is the last word"),
    Column("grade", word(Grade), "A: order length and better; B: sound, shorter or softer"),
    whole_column("records", "length_cm", "stem length [cm]"),
    Column("note", NOTE, "anything else"),
    Column("corrects", KEY_CELL, "key of the earlier record this one corrects"),
    Column("reason", word(LossReason), "why it was lost; of waste: spoiled in the field", rare=True),
    Column(
        "share_pct",
        whole(NUMBERS["records"]["share_pct"]),
        "share of the plants that were lost [%]",
        "the count, else all",
        rare=True,
    ),
    Column("typed_at", MOMENT, "when it was typed: of one day the later wins", "before those that say it", rare=True),
    Column("really", FLAG, "whether it was asked about, and said again", rare=True),
)
_KNOWN_STEMS = (
    key_column("the key of the count"),
    Column("product", PRODUCT, "what they are; `:dried` for dried stock"),
    Column("ready_date", DATE, "day they are or were ready"),
    whole_column("known_stems", "stems", "how many somebody is sure of [stems]"),
    Column("cut_date", DATE, "day they were cut or bought in", "still standing"),
    whole_column("known_stems", "length_cm", "their length [cm]", "not stated: serves lines that ask no length"),
    Column("usable_until", DATE, "last day they may be used", "by hold_days; dried stock for ever"),
    Column("note", NOTE, "anything else"),
)
_TEMPERATURES = (
    Column("date", DATE, "the day; days rise"),
    decimal_column("temperatures", "min_c", "lowest temperature of the day [deg C]"),
    decimal_column("temperatures", "max_c", "highest temperature of the day [deg C]"),
)
_CUSTOMERS = (
    key_column("the customer's short name"),
    Column("name", TEXT, "name on papers"),
    Column("kind", word(CustomerKind), "what the customer usually is; never a limit"),
    Column("email", EMAIL, "where mail goes", "no mail"),
    Column("phone", PHONE, "where they are rung or written to by phone", "no phone"),
    whole_column("customers", "notice_days", "notice a change needs [days]"),
)
_STANDING_ORDERS = (
    key_column("the order's short name"),
    Column("customer", KEY_CELL, "key of the customer"),
    Column("weekday", word(Weekday), "day the stems leave"),
    Column("first_week", WEEK, "first week"),
    Column("last_week", WEEK, "last week, included"),
    whole_column("standing_orders", "every", "1: each week, 2: each second week [weeks]"),
    Column("committed_on", DATE, "day it was agreed", "unknown, which ranks last in its class"),
    Column("status", word(StandingStatus), "whether it runs"),
)


def _line_columns(collection: str) -> tuple[Column, ...]:
    return (
        key_column("the line's key; unique over standing lines and order lines together"),
        Column("order", KEY_CELL, "key of its order"),
        whole_column(collection, "stems", "stems asked, each time [stems]"),
        Column("product", PRODUCT, "the product asked", "a choice is asked"),
        Column("choice", CHOICE, "what a grower's choice accepts", "a product is asked"),
        whole_column(collection, "minimum", "fewer than this are not worth sending [stems]"),
        Column("substitutes", PRODUCTS, "products accepted instead, best first"),
        Column("stage", TEXT, "cut stage asked", "any"),
        whole_column(collection, "min_length_cm", "least length asked [cm]"),
        whole_column(
            collection, "max_each", "of a choice: most stems of one product [stems]", "half the line, rounded up"
        ),
        whole_column(collection, "max_age_days", "most days since cutting on the due date [days]", "by hold_days"),
        decimal_column(collection, "promised_confidence", "level it was promised at [0-1]", "no level was promised"),
    )


def _kept_price_columns(collection: str) -> tuple[Column, ...]:
    """The price a line keeps, whatever becomes of the price list."""
    return (
        whole_column(
            collection, "bunch_price_minor", "price of one bunch that the line keeps [minor units]", _FILLED_IN
        ),
        whole_column(collection, "bunch_stems", "stems of the bunch that bunch_price_minor is the price of [stems]"),
        Column("price_from", word(PriceFrom), "how the price it keeps came about: agreed, or taken from the list"),
    )


_CHANGES = (
    key_column("the change's key"),
    Column("order", KEY_CELL, "key of the standing order"),
    Column("week", WEEK, "the one week it is about, a week of the order"),
    whole_column("changes", "stems", "stems that week instead; 0 skips [stems]"),
    Column("line", KEY_CELL, "key of the standing line", "every line of the order"),
    Column("note", NOTE, "anything else"),
)
_ORDERS = (
    key_column("the order's short name"),
    Column("customer", KEY_CELL, "key of the customer"),
    Column("kind", word(OrderKind), "what it is for"),
    Column("due_date", DATE, "day the stems leave or are collected"),
    Column("event_date", DATE, "day of the event, not before due_date"),
    Column("committed_on", DATE, "day of the first hold or contract", "unknown, which ranks last in its class"),
    Column("status", word(OrderStatus), "where it stands"),
    Column("hold_until", DATE, "last day of a hold; on_hold needs one"),
    Column("final_numbers_date", DATE, "last day to change counts"),
    Column("unacceptable", KEYS, "varieties the customer will not take"),
)
_ORDER_LINES = (
    *_line_columns("order_lines"),
    whole_column("order_lines", "spare", "breakage allowance on top of stems [stems]"),
    whole_column(
        "order_lines",
        "agreed_price_minor",
        "one price agreed for the whole line, spare and all [minor units]",
        "by bunch_price_minor",
    ),
    Column("no_substitute", FLAG, "whether nothing else will do"),
    *_kept_price_columns("order_lines"),
    Column("part", word(OrderPart), "of an order in two parts: what stands today, or what is sown for", "no parts"),
)
_STANDING_LINES = (*_line_columns("standing_lines"), *_kept_price_columns("standing_lines"))
_PRICES = (
    Column("product", PRODUCT, "what is sold"),
    Column("customer", KEY_CELL, "key of the one customer it is for", "everybody"),
    whole_column("prices", "length_cm", "from this length on [cm]", "any length"),
    whole_column("prices", "bunch_stems", "stems in a bunch [stems]", "the variety's bunch"),
    whole_column("prices", "price_minor", "price of one bunch [minor units]", "the variety's price"),
    Column("first_week", WEEK, "first week in which it holds, until another row of the same kind begins", "always"),
)
_RECIPES = (
    Column("piece", TEXT, "the piece to be made"),
    Column("role", word(Role), "a role in it"),
    whole_column("recipes", "stems", "stems of the role that one piece takes [stems]"),
    Column("note", NOTE, "anything else"),
)
_SPRAYS = (
    key_column("the spray's key"),
    Column("bed", KEY_CELL, "key of the bed"),
    Column("date", DATE, "day of the spray"),
    Column("wait_until", DATE, "last day of the label's waiting time"),
    Column("note", NOTE, "what was sprayed; florists read it on the delivery note"),
)
_PIECE_DECISIONS = (
    Column("variety", KEY_CELL, "key of the variety"),
    Column("use", word(Use, ASKED_USES), "where the pieces are: worn or held, or on a table"),
    Column("decision", word(Decision), "use it all the same, or keep it out"),
    Column("piece", TEXT, "the one piece it is about, of that use", "every piece of the use"),
    Column("note", NOTE, "what goes with it, such as gloves for whoever binds"),
)
_PAST_YEARS = (
    key_column("the row's key"),
    Column("variety", KEY_CELL, "key of the variety", "a kind is given"),
    Column("kind", KEY_CELL, "a whole kind, all its varieties together", "a variety is given"),
    whole_column("past_years", "year", "year of the first cut"),
    Column("sow_date", DATE, "day the first of it was sown, or planted where it is not sown", NOT_KNOWN),
    Column("method", word(Method), "how it was grown", "the usual way of the kind"),
    Column("tunnel", FLAG, "whether it stood in a tunnel"),
    Column("first_cut", DATE, "day of the first cut, in that year", NOT_KNOWN),
    Column("last_cut", DATE, "day of the last cut", NOT_KNOWN),
    whole_column("past_years", "stems", "stems fit for sale that were cut in all [stems]", "not counted"),
    whole_column("past_years", "plants", "places they came from: cells, pots, clumps [places]", "not counted"),
    Column("note", NOTE, "anything else, such as what kind of year it was"),
    Column("really", FLAG, "whether it was asked about, and said again", rare=True),
)
_USUAL_SALES = (
    key_column("the row's key"),
    Column("source", word(UsualSource), "where the hope comes from: last year's florist, a wish sheet, the stall"),
    Column("product", PRODUCT, "the product hoped for", "a choice is hoped for"),
    Column("choice", CHOICE, "what would do, as in a grower's choice", "a product is hoped for"),
    whole_column("usual_sales", "stems", "stems a week [stems]"),
    Column("first_week", WEEK, "first week"),
    Column("last_week", WEEK, "last week, included"),
    Column("weekday", word(Weekday), "day the stems would leave", "the farm's bucket day"),
    whole_column("usual_sales", "stem_price_minor", "usual price of a stem [minor units]", "the price list's"),
    Column("customer", KEY_CELL, "key of the customer who usually takes them", "nobody by name"),
    Column("note", NOTE, "anything else"),
)
_AT_HOME = (
    Column("variety", KEY_CELL, "key of the variety"),
    Column("what", word(Needed), "what it is begun from; seed is for each way of sowing it"),
    Column("state", word(InHand), "whether it is at home, or ordered"),
    Column("date", DATE, "day it was ticked"),
)

FILES: tuple[FileSpec, ...] = (
    FileSpec("varieties", Variety, _VARIETIES),
    FileSpec("beds", Bed, _BEDS),
    FileSpec("batches", Batch, _BATCHES),
    FileSpec("records", Record, _RECORDS),
    FileSpec("known_stems", KnownStems, _KNOWN_STEMS),
    FileSpec("temperatures", DayTemperature, _TEMPERATURES),
    FileSpec("customers", Customer, _CUSTOMERS),
    FileSpec("standing_orders", StandingOrder, _STANDING_ORDERS),
    FileSpec("standing_lines", StandingLine, _STANDING_LINES),
    FileSpec("changes", Change, _CHANGES),
    FileSpec("orders", Order, _ORDERS),
    FileSpec("order_lines", OrderLine, _ORDER_LINES),
    FileSpec("prices", Price, _PRICES),
    FileSpec("recipes", Recipe, _RECIPES),
    FileSpec("sprays", Spray, _SPRAYS),
    FileSpec("piece_decisions", PieceDecision, _PIECE_DECISIONS),
    FileSpec("past_years", PastYear, _PAST_YEARS),
    FileSpec("usual_sales", UsualSale, _USUAL_SALES),
    FileSpec("at_home", AtHome, _AT_HOME),
)
SITE_FILE = "farm.toml"
FILE_BY_NAME: dict[str, FileSpec] = {spec.name: spec for spec in FILES}
