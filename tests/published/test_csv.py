"""CSV files read: RFC 4180 (October 2005), section 2, whose examples are used as they stand.

Below them the ways in which spreadsheets depart from it, which RFC 4180 section 3 calls for
tolerance of (common practice).
"""

import pytest

from buildbook.incoming.table import NoTableError, read_table

# Rule of section 2, text (CRLF as \r\n), cells.
RULES = {
    "1 records end in CRLF": (
        "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
        [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")],
    ),
    "2 the last may end without": (
        "aaa,bbb,ccc\r\nzzz,yyy,xxx",
        [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")],
    ),
    "3 a header line": (
        "field_name,field_name,field_name\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
        [("field_name",) * 3, ("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")],
    ),
    "4 commas; spaces belong to a field": (
        "aaa, bbb ,ccc\r\n",
        [("aaa", " bbb ", "ccc")],
    ),
    "5 fields in double quotes": (
        '"aaa","bbb","ccc"\r\nzzz,yyy,xxx',
        [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")],
    ),
    "6 line breaks inside quotes": (
        '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
        [("aaa", "b\r\nbb", "ccc"), ("zzz", "yyy", "xxx")],
    ),
    "6 commas inside quotes": (
        '"a,aa","b,b,b","ccc"\r\nzzz,yyy,xxx',
        [("a,aa", "b,b,b", "ccc"), ("zzz", "yyy", "xxx")],
    ),
    "7 a quote is written twice": ('"aaa","b""bb","ccc"', [("aaa", 'b"bb', "ccc")]),
}
SEPARATED = {";": "semicolon", "\t": "tab", "|": "stroke"}
LIST = [("Part", "Name", "Qty"), ("FN-01", "Rib, nose; 0,8 mm", "2"), ("FN-02", 'a "b"', "1")]


@pytest.mark.parametrize(("text", "cells"), RULES.values(), ids=RULES)
def test_rfc_4180_section_2(text: str, cells: list[tuple[str, ...]]) -> None:
    table = read_table(text.encode())
    assert [row.cells for row in table.rows] == cells
    assert table.separator == ","


@pytest.mark.parametrize("separator", SEPARATED, ids=SEPARATED.values())
@pytest.mark.parametrize(("text", "cells"), RULES.values(), ids=RULES)
def test_the_same_with_other_separators(
    text: str, cells: list[tuple[str, ...]], separator: str
) -> None:
    def swap(words: str) -> str:
        return words.replace(",", separator)

    table = read_table(swap(text).encode())
    assert [row.cells for row in table.rows] == [tuple(map(swap, row)) for row in cells]
    assert table.separator == separator


def test_line_numbers_count_the_lines_inside_quotes() -> None:
    table = read_table(b'a,b\r\n\r\n"x\r\ny",1\r\nz,2\r\n')
    assert [row.line for row in table.rows] == [1, 3, 5]


@pytest.mark.parametrize("end", ["\r\n", "\n", "\r"])
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize(
    ("encoding", "mark", "named"),
    [
        ("utf-8", b"", "UTF-8"),
        ("utf-8", b"\xef\xbb\xbf", "UTF-8"),
        ("utf-16-le", b"\xff\xfe", "UTF-16"),
        ("utf-16-be", b"\xfe\xff", "UTF-16"),
        ("utf-16-le", b"", "UTF-16"),
        ("utf-16-be", b"", "UTF-16"),
    ],
)
def test_encodings(encoding: str, mark: bytes, named: str, separator: str, end: str) -> None:
    def quoted(cell: str) -> str:
        return '"' + cell.replace('"', '""') + '"'

    text = end.join(separator.join(map(quoted, row)) for row in LIST) + end
    table = read_table(mark + text.encode(encoding))
    assert [row.cells for row in table.rows] == LIST
    assert (table.separator, table.encoding, table.is_guess) == (separator, named, False)


def test_letters_of_an_older_encoding_are_a_guess() -> None:
    table = read_table("Part,Name\nFN-01,Lærke – ø\n".encode("cp1252"))
    assert table.rows[1].cells[1] == "Lærke – ø"
    assert (table.encoding, table.is_guess) == ("Windows-1252", True)
    # 0x81 is no letter in Windows-1252
    assert read_table(b"Part,Name\nFN-01,\xe6\x81\n").encoding == "Latin-1"


def test_semicolons_win_over_commas_in_numbers_and_names() -> None:
    text = "Part;Thickness;Name\nA-1;0,8;rib, nose, left\nA-2;1,0;rib\nA-3;0,6;spar, rear\n"
    table = read_table(text.encode())
    assert table.separator == ";"
    assert {len(row.cells) for row in table.rows} == {3}


def test_a_title_above_the_table_does_not_mislead() -> None:
    text = "Packing list; crate 3, of 5\n\n" + "Part,Name,Qty\n" + "A-1,Rib,2\n" * 8
    assert read_table(text.encode()).separator == ","


def test_the_line_that_tells_the_separator_is_not_a_row() -> None:
    table = read_table(b"sep=;\r\nPart;Name\r\nA-1;a,b,c\r\n")
    assert (table.separator, [row.line for row in table.rows]) == (";", [2, 3])


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", "nothing in it"),
        (b"\n\n , ,\n", "nothing in it"),
        (b"PK\x03\x04rest", "save it as CSV"),
        (b"%PDF-1.7", "save it as CSV"),
        (b"a,b\n\x00\x01,c\nlonger,text\n", "it is not text"),
        (b"\xff\xfea", "begins as UTF-16"),
        (b'a,b\nc,"d\ne,f\n', "opened in line 2"),
        (b'a,b\n"c"d,e\n', "row of line 2"),
        (b"x," * 2_600_000, "at most 5,000,000"),
    ],
)
def test_what_is_no_table_is_said_in_words(raw: bytes, said: str) -> None:
    with pytest.raises(NoTableError, match=said):
        read_table(raw)
