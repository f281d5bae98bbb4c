"""What a farm folder may not hold: each fault is named with its file, row and column, and all of them at once."""

import csv
import io
import itertools
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.snapshot import Farm
from haulm.farm_folder.columns import FILE_BY_NAME
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.reader import read_folder, read_texts
from haulm.farm_folder.writer import folder_texts
from support.farms import MINIMAL_SITE, grower_folder, site
from support.project_tree import ROOT

TWO_FLORISTS = ROOT / "fixtures/two-florists"
SOUTHERN_FIELD = ROOT / "fixtures/southern-field"
VARIETIES = "key,name\nlagurus,Bunny tail\n"


def faults_of(files: dict[str, bytes]) -> list[tuple[str, int | None, str | None]]:
    """Where a folder is at fault: file, row, column."""
    with pytest.raises(FolderRefused) as refusal:
        read_texts(files)
    return [(fault.place, fault.row, fault.column) for fault in refusal.value.faults]


def refusal_of(files: dict[str, bytes]) -> str:
    """The sentence with which a folder is refused."""
    with pytest.raises(FolderRefused) as refusal:
        read_texts(files)
    return refusal.value.sentence


def tables_of(name: str, content: bytes) -> dict[str, bytes]:
    """A folder with one table given as bytes."""
    return {"farm.toml": MINIMAL_SITE.encode(), name: content}


@pytest.mark.parametrize(
    ("table", "text", "row", "column"),
    [
        ("orders", "key,customer,kind,due_date\no,anna,stall,2027-13-01", 2, "due_date"),
        ("orders", "key,customer,kind,due_date\no,anna,stall,20270601", 2, "due_date"),
        ("orders", "key,customer,kind,due_date\no,anna,stall,1899-12-31", 2, "due_date"),
        ("orders", "key,customer,kind,due_date\no,anna,party,2027-06-01", 2, "kind"),
        ("orders", "key,customer,kind,due_date,status\no,anna,stall,2027-06-01,on_hold", 2, "hold_until"),
        ("orders", "key,customer,kind,due_date,event_date\no,anna,stall,2027-06-01,2027-05-31", 2, "event_date"),
        ("orders", "key,customer,kind,due_date,committed_on\no,anna,stall,2027-06-01,2027-06-02", 2, "committed_on"),
        ("orders", "key,customer,kind,due_date,unacceptable\no,anna,stall,2027-06-01,lagurus|stock", 2, "unacceptable"),
        ("orders", "key,customer,kind,due_date\no,clara,stall,2027-06-01", 2, "customer"),
        ("standing_orders", "key,customer,weekday,first_week,last_week\ns,anna,thu,2027-W53,2028-W10", 2, "first_week"),
        ("standing_orders", "key,customer,weekday,first_week,last_week\ns,anna,thu,2027-W20,2027-W19", 2, "last_week"),
        (
            "standing_orders",
            "key,customer,weekday,first_week,last_week,every\ns,anna,thu,2027-W20,2027-W30,3",
            2,
            "every",
        ),
        ("known_stems", "key,product,ready_date,stems\nk,stock,2027-06-01,10", 2, "product"),
        ("known_stems", "key,product,ready_date,stems\nk,lagurus,2027-06-01,-10", 2, "stems"),
        ("known_stems", "key,product,ready_date,stems\nk,lagurus,2027-06-01,1.5", 2, "stems"),
        ("known_stems", "key,product,ready_date,stems\nk,lagurus,2027-06-01,2000000000", 2, "stems"),
        ("known_stems", "key,product,ready_date,stems\nk,lagurus,2027-06-01,\u0661", 2, "stems"),
        ("known_stems", "key,product,ready_date,stems\nk,lagurus,2027-06-01,", 2, "stems"),
        ("known_stems", "key,product,ready_date,stems,cut_date\nk,lagurus,2027-06-02,5,2027-06-01", 2, "cut_date"),
        ("known_stems", "key,product,ready_date,stems\nk,lagurus,2027-06-01,5\nk,lagurus,2027-06-02,5", 3, "key"),
        ("beds", "key,name,metres\nnorth,North,nan", 2, "metres"),
        ("varieties", "key,name,weeks_to_flower\nlagurus,Bunny tail,\ncosmos,Cosmos,0", 3, "weeks_to_flower"),
        ("varieties", "key,name,harvest_weeks\nlagurus,Bunny tail,\ncosmos,Cosmos,0", 3, "harvest_weeks"),
        ("beds", "key,name,metres\nnorth,North,1e3", 2, "metres"),
        ("beds", 'key,name,metres\nnorth,North,"12,5"', 2, "metres"),
        ("beds", "key,name\n-north,North", 2, "key"),
        ("beds", "key,name\nnorth,No\x07rth", 2, "name"),
        ("beds", f"key,name\nnorth,{'n' * 2001}", 2, "name"),
        ("temperatures", "date,min_c,max_c\n2027-01-01,5,3", 2, "min_c"),
        ("temperatures", "date,min_c,max_c\n2027-01-01,-71,3", 2, "min_c"),
        ("temperatures", "date,min_c,max_c\n2027-01-02,1,3\n2027-01-01,1,3", 3, "date"),
        ("temperatures", "date,min_c,max_c\n2027-01-01,1,3\n2027-01-01,1,3", 3, "date"),
        ("prices", "product,price_minor\nlagurus,300\nlagurus,310", 3, "product"),
        ("recipes", "piece,role,stems\njar,focal,3\njar,focal,4", 3, "piece"),
        ("customers", "key,name,email\nbram,Bram,bram at example", 2, "email"),
        ("customers", "key,name,phone\nbram,Bram,01632 960 124\ncora,Cora,ring the bell", 3, "phone"),
        ("customers", "key,name,phone\nbram,Bram,12", 2, "phone"),
        ("customers", "key,name,phone\nbram,Bram,+44 1632 960 124 960 124 1", 2, "phone"),
        ("customers", "key,name,phone\nbram,Bram,01632+960124", 2, "phone"),
    ],
)
def test_a_cell_that_cannot_be_accepted_is_named(table: str, text: str, row: int, column: str) -> None:
    files = grower_folder(**{"varieties": VARIETIES, "customers": "key,name\nanna,Anna", table: text})

    assert faults_of(files) == [(f"{table}.csv", row, column)]


@pytest.mark.parametrize(
    ("content", "row", "found"),
    [
        (b"", 1, "an empty file"),
        (b"\xef\xbb\xbf \r\n\n", 1, "an empty file"),
        (b",,\n", 1, "an empty file"),
        (b"key,name\nnorth,N\xfcrth\n", 2, "the byte 0xfc"),
        (b"\xef\xbb\xbfkey,name\nnorth,N\xfcrth\n", 2, "the byte 0xfc"),
        (b"key,name\nnorth,N\0rth\n", 2, "a NUL character"),
        (b'key,name\nnorth,"North\nsouth,South\n', 2, "a quote that is never closed"),
        (b'key,name\nnorth,"No"rth\n', 2, "text after a closing"),
        (b"key,name\n\nnorth,North\nsouth\n", 4, "1 cell"),
        (b"key,name\nnorth,North,3\n", 2, "3 cells"),
        (b"key,name,name\nnorth,North,N\n", 1, "the column 'name' a second time"),
        (b"key,name,\nnorth,North,\n", 1, "a column without a name"),
        (b"key,name,soil\nnorth,North,clay\n", 1, "the unknown column 'soil'"),
        (b"key\nnorth\n", 1, "no such column"),
    ],
)
def test_a_file_that_is_no_clean_table_is_refused_with_its_row(content: bytes, row: int, found: str) -> None:
    with pytest.raises(FolderRefused) as refusal:
        read_texts(tables_of("beds.csv", content))

    assert [(fault.place, fault.row) for fault in refusal.value.faults] == [("beds.csv", row)]
    assert found in refusal.value.faults[0].found


def test_a_week_53_of_a_year_without_one_says_which_weeks_there_are() -> None:
    head = "key,customer,weekday,first_week,last_week\n"
    files = grower_folder(customers="key,name\nanna,Anna", standing_orders=head + "s,anna,thu,2027-W01,2027-W53")

    assert refusal_of(files) == (
        "standing_orders.csv row 2, last_week: found '2027-W53'; accepted is a week from 2027-W01 to 2027-W52."
    )


def test_an_unknown_file_and_a_missing_farm_toml_are_named() -> None:
    assert faults_of({"bed.csv": b"key,name\n", ".hidden": b""}) == [("bed.csv", None, None), ("farm.toml", None, None)]


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FolderRefused, match="No such file"):
        read_folder(tmp_path / "nowhere")


def test_a_folder_in_the_folder_is_refused_and_dot_files_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / "farm.toml").write_text(MINIMAL_SITE)
    (tmp_path / ".git").mkdir()
    assert read_folder(tmp_path).site.latitude == 52

    (tmp_path / "old").mkdir()
    with pytest.raises(FolderRefused, match="old: found a folder"):
        read_folder(tmp_path)


def test_all_faults_of_a_folder_come_at_once_and_the_sentence_says_how_many_more() -> None:
    files = grower_folder(
        site='format = 1\nname = "Far"\nlatitude = 97.0',
        varieties="key,name,hold_days\nlagurus,Bunny tail,many\nstock,Stock,9\n",
        known_stems="key,product,ready_date,stems\nk,lagurus,2027-06-01,10\nm,moss,2027-06-01,x",
        batches="key,variety\nb,fern",
    )

    assert faults_of(files) == [
        ("farm.toml", None, "latitude"),
        ("varieties.csv", 2, "hold_days"),
        ("known_stems.csv", 3, "stems"),
        ("batches.csv", 2, "variety"),
    ]
    assert refusal_of(files).endswith("There are 3 more faults.")


def test_rows_are_numbered_as_a_spreadsheet_shows_them() -> None:
    head = 'key,product,ready_date,stems,note\nk,lagurus,2027-06-01,5,"two\nlines"\n\n'
    files = grower_folder(varieties=VARIETIES, known_stems=head + "m,lagurus,2027-06-01,-1,")

    assert faults_of(files) == [("known_stems.csv", 4, "stems")]


def test_who_refers_to_a_broken_row_is_not_blamed() -> None:
    files = grower_folder(varieties="key,name,role\nlagurus,Bunny tail,tall", batches="key,variety\nb,lagurus")

    assert faults_of(files) == [("varieties.csv", 2, "role")]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_byte_order_mark_semicolons_and_any_line_end_are_accepted(mark: bytes, end: str) -> None:
    text = "key;name;metres\nnorth; North bed ;12,5\n\nsouth;South;\n".replace("\n", end)

    beds = read_texts(tables_of("beds.csv", mark + text.encode())).beds

    assert [(bed.key, bed.name, bed.metres) for bed in beds] == [("north", "North bed", 12.5), ("south", "South", None)]


def test_a_header_alone_is_a_collection_without_rows() -> None:
    assert read_texts(tables_of("beds.csv", b"key,name\n")).beds == ()


@pytest.mark.parametrize(("text", "value"), [("yes", True), ("TRUE", True), ("1", True), ("no", False), ("0", False)])
def test_yes_and_no_may_be_said_in_three_ways(text: str, value: bool) -> None:
    files = grower_folder(varieties=f"key,name,food_use\nlagurus,Bunny tail,{text}")

    assert read_texts(files).varieties[0].food_use is value


@given(st.sampled_from(sorted(FILE_BY_NAME)), st.binary() | st.text().map(str.encode))
def test_whatever_stands_in_a_file_is_read_or_refused(name: str, content: bytes) -> None:
    with suppress(FolderRefused):
        assert read_texts(tables_of(name, content)) == Farm(site())


def single_cells(text: str) -> Iterator[tuple[int, str, list[list[str]]]]:
    """Every cell of a table in turn: its row and column, and the table with that cell broken."""
    records = list(csv.reader(io.StringIO(text)))
    for row, column in itertools.product(range(1, len(records)), range(len(records[0]))):
        broken = [list(cells) for cells in records]
        broken[row][column] = "\x01?"
        yield row + 1, records[0][column], broken


@pytest.mark.parametrize("name", sorted(FILE_BY_NAME))
def test_any_one_broken_cell_is_found_where_it_is(name: str) -> None:
    folder = SOUTHERN_FIELD if (SOUTHERN_FIELD / name).exists() else TWO_FLORISTS
    files = folder_texts(read_folder(folder))

    for row, column, broken in single_cells(files[name].decode()):
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(broken)
        assert (name, row, column) in faults_of(files | {name: out.getvalue().encode()})
