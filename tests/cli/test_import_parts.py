"""`buildbook import parts`: packing lists held against a small book.

Quoting and line breaks are those of RFC 4180, section 2, rules 5 to 7.
"""

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sites import BASE

from buildbook.cli.main import cli
from buildbook.records.problems import Severity
from buildbook.records.read import read

PARTS = """\
# The plans, sheet 3.
- part: FN-01
  name: Rear spar
  material: "2024"
  temper: T3
  thickness: 0.032 in
- part: FN-02-L
  name: Nose rib
  hand: left
  quantity: 4
  received: 4
"""


@pytest.fixture(autouse=True)
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, text in {**BASE, "parts.yml": PARTS}.items():
        path = tmp_path / "content" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def bring(text: str | bytes, *options: str, name: str = "crate 3.csv") -> Result:
    Path(name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return CliRunner().invoke(cli, ["import", "parts", name, *options], catch_exceptions=False)


def section(result: Result, title: str) -> list[str]:
    """Give the lines of one section of the report."""
    lines = result.output.splitlines()
    if f"{title}:" not in lines:
        return []
    below = lines[lines.index(f"{title}:") + 1 :]
    return [line.strip() for line in below[: below.index("")]]


WRITTEN = Path("content/parts/crate-3.yml")


def test_dry_run_writes_nothing(book: Path) -> None:
    before = {p: p.read_bytes() for p in (book / "content").rglob("*") if p.is_file()}
    result = bring("Part No.,Description,Qty\nWG-01,Main spar,2\n")
    assert result.exit_code == 0
    assert "nothing is written; --write puts the 1 new part into content/parts/crate-3.yml" in (
        result.output
    )
    assert before == {p: p.read_bytes() for p in (book / "content").rglob("*") if p.is_file()}


def test_columns_are_guessed_and_shown() -> None:
    result = bring("Bag,P/N,Description,QTY (ea),Rec'd,Thickness (mm)\nA,WG-01,Spar,2,1,0.8\n")
    for line in (
        "part: column `P/N`",
        "name: column `Description`",
        "quantity: column `QTY (ea)`",
        "received: column `Rec'd`",
        "thickness: column `Thickness (mm)`",
        "not used: `Bag`",
    ):
        assert line in result.output
    assert section(result, "New")[1].split() == ["2", "WG-01", "Spar", "2", "1", "0", "0.8", "mm"]


def test_columns_said_by_heading_and_by_number() -> None:
    text = "Teil,Benennung,Menge\nWG-01,Holm,2\n"
    assert "say which with --part" in bring(text).output.lower()
    result = bring(text, "--part", "teil", "--name", "2", "--quantity", "Menge")
    assert section(result, "New")[1].split() == ["2", "WG-01", "Holm", "2"]
    wrong = bring(text, "--part", "Nummer")
    assert wrong.exit_code == 2
    assert "no column is headed `Nummer`, given as --part; the first row says `Teil`" in (
        wrong.output
    )


def test_a_list_without_headings() -> None:
    text = "WG-01,Spar,2\nWG-02,Rib,3\n"
    result = bring(text, "--no-header", "--part", "1", "--name", "2", "--quantity", "3")
    assert [line.split()[1] for line in section(result, "New")[1:]] == ["WG-01", "WG-02"]
    assert "write a number from 1 to 3" in bring(text, "--no-header", "--part", "4").output


def test_headings_below_a_title() -> None:
    result = bring("Packing list\n\nPart,Name,Qty\nWG-01,Spar,2\n")
    assert section(result, "New")[1].split() == ["4", "WG-01", "Spar", "2"]


RFC_4180 = (
    '"Part No.","Description","Qty","Bag"\r\n'
    '"WG-01","Main spar, ""upper"" cap","2","A"\r\n'
    'WG-02,"Rib\r\nof two lines",3,"B, C"'
)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_dialects_give_the_same_parts(separator: str, encoding: str) -> None:
    text = RFC_4180.replace(",", separator).encode(encoding)
    assert bring(text, "--write").exit_code == 0
    parts = read(Path("content")).book.parts
    inside = separator.strip()  # a tab in a name is a blank like any other
    assert parts["WG-01"].name == f'Main spar{inside} "upper" cap'
    assert parts["WG-02"].name == "Rib of two lines"
    assert (parts["WG-01"].quantity, parts["WG-02"].quantity) == (2, 3)


def test_written_parts_pass_the_check_and_a_second_run_adds_nothing() -> None:
    text = (
        "Part,Name,Hand,Material,Thickness,Qty,Received,Damaged\n"
        "WG-01-L,Nose rib,LH,2024-T3,0.032 in,6,5,1\n"
        "0047,no,,6061,1.6 mm,1,,\n"
        "1e3,=1+1,,,,2,2,0\n"
        'no,"- a: b #c",right-hand,,,1,,\n'
    )
    result = bring(text, "--write")
    assert result.exit_code == 0
    assert "content/parts/crate-3.yml: 4 new parts" in result.output
    reading = read(Path("content"), date(2032, 1, 1))
    assert {p.code for p in reading.problems if p.severity is Severity.ERROR} == set()
    assert {p.code for p in reading.problems} <= {"part-without-step"}
    parts = reading.book.parts
    assert parts["1e3"].name == "=1+1"
    assert parts["0047"].name == "no"
    assert parts["no"].name == "- a: b #c"
    rib = parts["WG-01-L"]
    assert (rib.hand, rib.material, rib.temper, rib.quantity) == ("left", "2024", "T3", 6)
    assert (rib.received, rib.damaged) == (5, 1)
    assert rib.thickness
    assert rib.thickness.written == "0.032 in"
    assert WRITTEN.read_text().startswith("# yaml-language-server: $schema=../../.buildbook/")

    before = WRITTEN.read_bytes()
    again = bring(text, "--write")
    assert again.exit_code == 0
    assert "nothing to add" in again.output
    assert section(again, "In the book, and the same") == ["4: WG-01-L, 0047, 1e3, no"]
    assert WRITTEN.read_bytes() == before


def test_a_file_that_is_there_is_never_overwritten() -> None:
    assert bring("Part,Name\nWG-01,Spar\n", "--write").exit_code == 0
    before = WRITTEN.read_bytes()
    more = "Part,Name\nWG-02,Rib\n"
    result = bring(more, "--write")
    assert result.exit_code == 2
    assert "crate-3.yml is there already; name another file" in result.output
    assert WRITTEN.read_bytes() == before
    assert bring(more, "--write", "--to", "Crate 3, again").exit_code == 0
    assert Path("content/parts/crate-3-again.yml").is_file()
    assert not [p for p in WRITTEN.parent.iterdir() if p.suffix == ".part"]


def test_what_the_book_has_is_compared_and_never_changed() -> None:
    result = bring(
        "Part,Name,Qty,Material,Thickness,Received\n"
        "FN-01,REAR SPAR,1,2024-T3,0.8128 mm,\n"
        "FN-02-L,Nose rib,5,,,3\n"
    )
    assert result.exit_code == 1
    assert section(result, "In the book, and the same") == ["1: FN-01"]
    assert section(result, "In the book, and different") == [
        "line 3: FN-02-L (content/parts.yml:7)",
        "quantity: the list says 5, the book says 4",
        "received: the list says 3, the book says 4",
        "if the list is right, write there:",
        "quantity: 5",
        "received: 3",
    ]
    assert Path("content/parts.yml").read_text() == PARTS


def test_what_the_book_does_not_say_yet_is_no_contradiction() -> None:
    result = bring("Part,Received,Damaged\nFN-01,1,0\n")
    assert result.exit_code == 0
    assert section(result, "In the book, and different")[1:] == [
        "received: the list says 1, the book says nothing",
        "if the list is right, write there:",
        "received: 1",
    ]


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("FN-O1", "line 2: `FN-O1`; the book has `FN-01` (--add-similar"),
        ("FN-0I", "line 2: `FN-0I`; the book has `FN-01` (--add-similar"),
        ("FN01", "line 2: `FN01`; the book has `FN-01` (--add-similar"),
        ("FN-02L", "line 2: `FN-02L`; the book has `FN-02-L` (--add-similar"),
        ("fn-01", "line 2: `fn-01`; the book has `FN-01` (they differ in capitals only)"),
    ],
)
def test_part_numbers_that_look_alike(number: str, said: str) -> None:
    text = f"Part,Name\n{number},Spar\n"
    result = bring(text)
    assert result.exit_code == 1
    [line] = section(result, "Perhaps the same part, mistyped")
    assert line.startswith(said)
    added = bring(text, "--write", "--add-similar")
    is_case = "capitals" in said
    assert WRITTEN.exists() != is_case
    assert added.exit_code == (1 if is_case else 0)


def test_part_numbers_that_only_seem_alike_are_new() -> None:
    result = bring("Part,Name\nFN-011,Rib\nFN-02-R,Rib\nFN-001,Rib\n")
    assert result.exit_code == 0
    assert len(section(result, "New")) == 4


def test_look_alikes_inside_the_list() -> None:
    result = bring("Part,Name\nWG-10,Rib\nWG-1O,Rib\n")
    assert section(result, "Perhaps the same part, mistyped") == [
        "line 3: `WG-1O`; line 2 has `WG-10` (--add-similar takes it for another part)"
    ]


def test_a_part_twice_in_the_list_is_not_added_up() -> None:
    result = bring("Part,Name,Qty\nWG-01,Rib,2\nWG-02,Rib,1\nWG-01,Rib,3\n")
    assert result.exit_code == 1
    assert section(result, "More than once in the list") == [
        "lines 2, 4: WG-01, quantities 2, 3; they are not added up, so make one row of them"
    ]
    assert len(section(result, "New")) == 2


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("WG-01,Rib,-1,,,", "`-1` is not a count"),
        ("WG-01,Rib,2.5,,,", "`2.5` is not a count"),
        ("WG-01,Rib,two,,,", "`two` is not a count"),
        ("WG-01,Rib,=1+1,,,", "`=1+1` is not a count"),
        ("WG-01,Rib,6000,,,", "at most 5000"),
        ("WG-01,Rib,0,,,", "0 of a part is nothing to make"),
        ("WG-01,Rib,,,,", "there is no quantity"),
        ("WG-01,,2,,,", "there is no name"),
        (",Rib,2,,,", "there is no part number"),
        ("WG-01,Rib,2,1,2,", "2 damaged of 1 received cannot be"),
        ("WG-01,Rib,2,,1,", "1 damaged, and not how many were received"),
        ("WG-01,Rib,2,,,0.032", "`0.032` has no unit: say which with --unit in or --unit mm"),
        ("WG-01,Rib,2,,,thick", "`thick` is not a number with a unit"),
        ("WG-01,Rib,2,,,3 kg", "a length is needed here"),
        ("WG 01,Rib,2,,,", "without spaces, as `WG-01`"),
        ("FN 01,Rib,2,,,", "did you mean `FN-01`, which the book has?"),
        ("WG/01,Rib,2,,,", "as `WG-01`"),
        ("WG-01,Rib,2,,,,more", "7 cells under 6 headings"),
    ],
)
def test_rows_that_cannot_be_understood(row: str, said: str) -> None:
    text = f"Part,Name,Qty,Received,Damaged,Thickness\nWG-99,Good,1,,,\n{row}\n"
    result = bring(text)
    assert result.exit_code == 1
    unclear = section(result, "Not understood")
    assert all(line.startswith("line 3") for line in unclear)
    assert said in " ".join(unclear)

    refused = bring(text, "--write")
    assert refused.exit_code == 2
    assert "or add --leave-out" in refused.output
    assert not WRITTEN.exists()
    bring(text, "--write", "--leave-out")
    assert WRITTEN.read_text().count("- part:") == 1


def test_counts_as_lists_write_them() -> None:
    rows = {"2 ea": 2, "3 pcs": 3, "4.0": 4, "5,00": 5, "x 6": 6, "007": 7}
    text = "Part;Name;Qty\n" + "".join(f"WG-{n};Rib;{w}\n" for w, n in rows.items())
    assert bring(text, "--write").exit_code == 0
    parts = read(Path("content")).book.parts
    assert {w: parts[f"WG-{n}"].quantity for w, n in rows.items()} == rows


def test_unit_of_thicknesses() -> None:
    assert bring("Part;Name;Thickness\nWG-01;Rib;0,8\n", "--unit", "mm", "--write").exit_code == 0
    thickness = read(Path("content")).book.parts["WG-01"].thickness
    assert thickness
    assert thickness.written == "0.8 mm"


def test_shortage_is_quantity_less_sound_pieces_received() -> None:
    result = bring(
        "Part,Name,Qty,Received,Damaged\n"
        "WG-01,Rib,6,5,1\nWG-02,Spar,1,1,0\nWG-03,Clip,4,9,2\nWG-04,Cap,2,,\nFN-02-L,,,3,1\n"
    )
    assert section(result, "Short") == [
        "WG-01 Rib: 2 short (needs 6, received 5, 1 damaged)",
        "FN-02-L Nose rib: 2 short (needs 4, received 3, 1 damaged)",
    ]


def test_an_encoding_that_is_a_guess_is_told() -> None:
    result = bring("Part,Name\nWG-01,Rippe für Flügel\n".encode("latin-1"))
    assert "Windows-1252, which is a guess" in result.output
    assert "Rippe für Flügel" in result.output


def test_hostile_text_reaches_the_terminal_as_plain_letters() -> None:
    result = bring("Part,Name,\x1b[31mBag\nWG-01,Rib\x1b]0;title\x07,x\n", "--write")
    assert result.exit_code == 0
    assert "\x1b" not in result.output
    assert "\x07" not in result.output
    assert "\x1b" not in WRITTEN.read_text()


@pytest.mark.parametrize(
    ("file", "said"),
    [
        ("nowhere.csv", "nowhere.csv cannot be read: No such file"),
        ("content", "content cannot be read"),
        ("book.xlsx", "save it as CSV"),
        ("empty.csv", "there is nothing in it"),
    ],
)
def test_lists_that_cannot_be_read(file: str, said: str) -> None:
    Path("book.xlsx").write_bytes(b"PK\x03\x04")
    Path("empty.csv").write_bytes(b"")
    result = CliRunner().invoke(cli, ["import", "parts", file])
    assert result.exit_code == 2
    assert said in result.output


def test_a_book_that_is_not_there() -> None:
    result = bring("Part,Name\nWG-01,Rib\n", "--content", "elsewhere")
    assert result.exit_code == 2
    assert "there is no folder elsewhere" in result.output
