"""What grows, in words: kinds, sowings, what was seen of them, and stems that somebody is sure of."""

from __future__ import annotations

from haulm.farm.batches import Batch
from haulm.farm.records import KnownStems, Record
from haulm.farm.varieties import Variety
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.money_words import money_words
from haulm.language.words import _, many, marked
from haulm.pages.rows.ground import KEY_MADE
from haulm.pages.rows.names import Names
from haulm.pages.rows.page_words import Field, Listed, Table
from haulm.pages.rows.widgets import PickKind

_GROWTH, _KEEPING = marked("How it grows"), marked("How it is cut, kept and dried")
_SOLD, _CARE = marked("How it is sold"), marked("What it is, and what to take care of")
_LEARNT = marked("What your own seasons taught")
_LIBRARY = marked("the library's")


def _variety(names: Names, row: Variety) -> Listed:
    crop = names.crops[row.key]
    price = "" if row.price_minor is None else money_words(row.price_minor, names.farm.site.currency)
    bunch = _("bunches of {count}").format(count=crop.bunch_stems)
    return Listed(
        names.of("varieties", row.key),
        tuple(filter(None, (row.colour or "", names.word("varieties", "role", crop.role), bunch, price))),
    )


def _batch(names: Names, row: Batch) -> Listed:
    figures = (
        names.said.status(row),
        many("{count} plant", "{count} plants", row.most_plants) if row.most_plants else "",
    )
    return Listed(names.title("batches", row), tuple(filter(None, figures)))


def _record(names: Names, row: Record) -> Listed:
    batch = next((one for one in names.farm.batches if one.key == row.batch), None)
    what = names.varieties.get(row.variety or (batch.variety if batch else ""), _("The whole farm"))
    kind = names.word("records", "kind", row.kind)
    seen = kind if row.count is None else _("{kind}: {count}").format(kind=kind, count=f"{row.count:,}")
    left = "" if row.left is None else _("{count} left standing").format(count=f"{row.left:,}")
    return Listed(what, tuple(filter(None, (seen, day_in_words(row.date), left, row.note))))


def _known(names: Names, row: KnownStems) -> Listed:
    ready = _("ready {day}").format(day=day_in_words(row.ready_date))
    cut = _("still standing") if row.cut_date is None else _("cut {day}").format(day=day_in_words(row.cut_date))
    return Listed(names.title("known_stems", row), (ready, cut))


def _of_library(name: str, label: str, group: str, hint: str = "") -> Field:
    return Field(name, label, hint, _LIBRARY, group)


VARIETIES = Table(
    collection="varieties",
    place="kinds",
    many=marked("Kinds"),
    one=marked("a kind"),
    says=marked("What you grow to cut. Take one from the library, and its figures come with it until you know better."),
    fields=(
        Field("name", marked("Name"), marked("on lists and labels, such as White zinnia")),
        Field("colour", marked("Colour"), marked("one word, for choices by colour"), marked("none")),
        _of_library("bunch_stems", marked("Stems in a bunch"), ""),
        Field("price_minor", marked("Price of a bunch"), empty=marked("no price of its own")),
        _of_library(
            "weeks_to_flower", marked("Weeks from sowing to the first cut"), _GROWTH, marked("sown in mid-April")
        ),
        _of_library("harvest_weeks", marked("Weeks it is cut"), _GROWTH),
        _of_library("stems_per_plant", marked("Stems a plant gives"), _GROWTH),
        _of_library("germination_pct", marked("Places that come up, of 100"), _GROWTH),
        _of_library("germination_days", marked("Days until most are up"), _GROWTH),
        _of_library("seeds_per_place", marked("Seeds in one cell"), _GROWTH),
        _of_library("weeks_to_plant_out", marked("Weeks from sowing to planting out"), _GROWTH),
        _of_library("harden_days", marked("Days of hardening off"), _GROWTH),
        _of_library("kill_c", marked("Cold that kills it"), _GROWTH, marked("degrees Celsius")),
        _of_library("spacing_cm", marked("Centimetres from plant to plant"), _GROWTH),
        _of_library("row_cm", marked("Centimetres from row to row"), _GROWTH),
        _of_library("life_cycle", marked("How it lives"), _GROWTH),
        _of_library("habit", marked("How it gives its stems"), _GROWTH),
        _of_library("hold_days", marked("Days a cut stem keeps in the cool store"), _KEEPING),
        _of_library("stand_days", marked("Days a ready stem stands in the field"), _KEEPING),
        _of_library("dry_days", marked("Days of hanging until dry"), _KEEPING),
        Field(
            "dried_keep_days", marked("Days a dried stem keeps"), "", marked("the library's, else it keeps"), _KEEPING
        ),
        Field(
            "stages",
            marked("Cut stages"),
            marked("one to a line: name, colour, days after ready, such as young: cream: days 0 to 4"),
            marked("no stages"),
            _KEEPING,
        ),
        _of_library("role", marked("What it does in a bunch"), _SOLD),
        Field("dried_price_minor", marked("Price of a dried bunch"), "", marked("no price of its own"), _SOLD),
        Field(
            "lengths",
            marked("Shares by length"),
            marked("such as 30 cm 30 %, 40 cm 50 %, 50 cm 20 %"),
            marked("not graded by length"),
            _SOLD,
        ),
        Field(
            "food_use",
            marked("Sold for food"),
            marked("only where you are sure of the plant and grow it for eating"),
            _LIBRARY,
            _SOLD,
        ),
        _of_library("botanical_name", marked("Botanical name"), _CARE, marked("tells the library which plant it is")),
        Field("kind", marked("A cultivar of"), "", marked("the library's, else a kind of its own"), _CARE, PickKind()),
        Field(
            "caution", marked("A caution of your own"), marked("goes with every stem"), marked("the library's"), _CARE
        ),
        Field(
            "weeks_through",
            marked("Weeks to flower hold seasons up to"),
            marked("a year: what was seen until then is not counted again"),
            marked("none"),
            _LEARNT,
        ),
        Field(
            "stems_through",
            marked("Stems a plant hold seasons up to"),
            marked("a year: what was seen until then is not counted again"),
            marked("none"),
            _LEARNT,
        ),
    ),
    listed=_variety,
    made={"key": KEY_MADE},
    filter_by="role",
    leave=marked("The kind is gone from your lists. A kind that is only not grown this year can stay."),
)
BATCHES = Table(
    collection="batches",
    place="sowings",
    many=marked("Sowings"),
    one=marked("a sowing"),
    says=marked("One sowing or planting of a kind, followed until it is cleared."),
    fields=(
        Field("variety", marked("Kind")),
        Field("sow_date", marked("Day it is sown"), marked("or planted, where it is not sown"), marked("not known")),
        Field("method", marked("How it is begun")),
        Field("plants", marked("Plants wanted in the bed"), empty=marked("what comes up")),
        Field("bed", marked("Bed"), empty=marked("not said")),
        Field("status", marked("Where it stands")),
        Field(
            "sown",
            marked("Places sown"),
            marked("cells or stations, not seeds"),
            marked("as many as plants"),
            marked("More"),
        ),
        Field("metres", marked("Metres of bed"), "", marked("not known"), marked("More")),
        Field("plant_out_date", marked("Day it is planted out"), "", marked("counted from the sowing"), marked("More")),
        Field("trays", marked("Trays on the bench"), "", marked("none"), marked("More")),
        Field(
            "tray", marked("Name of the tray"), marked("several sowings may share one"), marked("none"), marked("More")
        ),
        Field("form", marked("Grown to be sold"), "", "", marked("More")),
        Field("winter_cover", marked("Cover in winter"), marked("beside its tunnel"), "", marked("More")),
        Field(
            "lot",
            marked("Packet of seed"),
            marked("sowings of one packet come up or stay away together"),
            marked("its tray, else by itself"),
            marked("More"),
        ),
    ),
    listed=_batch,
    made={"key": KEY_MADE},
    filter_by="status",
    leave=marked("As if it had never been sown or planned. One that is over is better set to finished or lost."),
)
RECORDS = Table(
    collection="records",
    place="records",
    many=marked("What was seen and done"),
    one=marked("something seen"),
    says=marked("Nothing is rubbed out: what you put right stands in the place of what was there, and both are kept."),
    fields=(
        Field("date", marked("Day")),
        Field("kind", marked("What was seen or done")),
        Field("batch", marked("Of which sowing"), empty=marked("no single sowing")),
        Field("variety", marked("Or of a whole kind"), marked("split over its sowings"), marked("no kind")),
        Field("count", marked("How many"), marked("plants or stems, as it was counted"), marked("not counted")),
        Field("left", marked("Stems left standing"), marked("after a cut"), marked("not counted")),
        Field("note", marked("Note")),
        Field("final", marked("The last word: no more will come up"), "", "", marked("More")),
        Field("grade", marked("Grade"), "", marked("not graded"), marked("More")),
        Field("length_cm", marked("Length in centimetres"), "", marked("not measured"), marked("More")),
        Field(
            "reason", marked("Why it was lost"), marked("for lost and thrown away"), marked("not said"), marked("More")
        ),
        Field("share_pct", marked("Lost, of 100 plants"), "", marked("the count, else all"), marked("More")),
    ),
    listed=_record,
    made={
        "key": KEY_MADE,
        "corrects": marked("written where a record is put right"),
        "typed_at": marked("the moment it is typed"),
        "really": marked("the button that says it again"),
    },
    filter_by="kind",
    leave=marked("It counts for nothing any more; what was written stays in the journal."),
    newest_first=True,
)
KNOWN_STEMS = Table(
    collection="known_stems",
    place="known-stems",
    many=marked("Stems you are sure of"),
    one=marked("stems you are sure of"),
    says=marked("Counted, bought in or dried: they count in full, beside what the forecast expects."),
    fields=(
        Field("product", marked("What they are")),
        Field("stems", marked("How many stems")),
        Field("ready_date", marked("Day they are or were ready")),
        Field("cut_date", marked("Day they were cut or bought in"), empty=marked("still standing")),
        Field("length_cm", marked("Length in centimetres"), empty=marked("not stated")),
        Field("usable_until", marked("Last day they can be used"), empty=marked("as long as the kind keeps")),
        Field("note", marked("Note")),
    ),
    listed=_known,
    made={"key": KEY_MADE},
    leave=marked("Nobody counts on them any more."),
    newest_first=True,
)
