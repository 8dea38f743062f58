"""Tables as people have them: what is wrong is named by its line, and formulas stay text."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.csvtable import read_rows, table_text
from chartscan.errors import TableError, TableWarning
from chartscan.plaintext import harmless


def _rows(tmp_path: Path, text: str) -> list[tuple[int, str, str]]:
    file = tmp_path / "t.csv"
    file.write_text(text, encoding="utf-8")
    found = read_rows(file, ("code",))
    return [(row.line, row.text("code"), row.text("name")) for row in found]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('code,name\nT1,"rose\nT2,sky\nT3,moss\n', 2),  # never closed: it swallowed all the rest
        ('code,name\nT1,rose\nT2,"sky\nT3,moss\nT4,"ivory"\n', 3),
        ('code,name\nT1,rose\nT2,"sky\nT3,moss"\nT4,ivory\n', 3),  # closed by chance
    ],
)
def test_an_open_quotation_mark_is_named_by_its_line(tmp_path: Path, text: str, line: int) -> None:
    with pytest.raises(TableError, match=rf"line {line}: a quotation mark opens here"):
        _rows(tmp_path, text)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-be"])
def test_a_table_is_read_as_spreadsheets_save_it(tmp_path: Path, encoding: str) -> None:
    file = tmp_path / "t.csv"
    mark = "\ufeff" if encoding == "utf-16-be" else ""  # the others bring their own, or need none
    file.write_bytes(f"{mark}code\tname\r\nT1\tmoosgrün\r\n".encode(encoding))
    (row,) = read_rows(file, ("code",))
    assert (row.line, row.text("name")) == (2, "moosgrün")


def test_a_table_in_the_code_page_of_windows_is_read_and_said_to_be(tmp_path: Path) -> None:
    file = tmp_path / "t.csv"
    file.write_bytes("code,name\r\nT1,rose\r\nT2,moosgrün “hell”\r\n".encode("cp1252"))
    with pytest.warns(
        TableWarning, match=r"t\.csv: .*Windows-1252.* line 3 .*'T2,moosgrün “hell”'"
    ):
        rows = read_rows(file, ("code",))
    assert [row.text("name") for row in rows] == ["rose", "moosgrün “hell”"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("code,name\nT1,blä\nT2,moosgr".encode() + b"\xfc\n", "line 3: isn't UTF-8 text"),  # both
        ("code,name\nT1,blä\nT2,moosgrü".encode()[:-1], "line 3: isn't UTF-8 text"),  # cut short
        (b"code,name\nT1,\x81\xfc\n", "line 2: isn't UTF-8 text"),  # 81 is none of Windows'
        (b"\xff\xfec\x00o", "line 1: isn't UTF-8 text"),  # half a letter of UTF-16
        (b"PK\x03\x04\x14\x00\xe9", "isn't a table of text"),  # a workbook
        (b"\x89PNG\r\n\x1a\n\xe9", "isn't a table of text"),
        ("code,name\nT1,rose\n".encode("utf-16-le"), "isn't a table of text"),  # without its mark
    ],
)
def test_what_is_no_whole_text_is_refused(tmp_path: Path, content: bytes, said: str) -> None:
    file = tmp_path / "t.csv"
    file.write_bytes(content)
    with pytest.raises(TableError, match=rf"t\.csv: {said}.*CSV UTF-8"):
        read_rows(file, ("code",))


def test_a_note_may_run_over_lines(tmp_path: Path) -> None:
    found = _rows(tmp_path, 'code,name\nT1,"rose\nof old"\nT2,sky\n')
    assert found == [(2, "T1", "rose\nof old"), (4, "T2", "sky")]


def test_a_row_longer_than_the_header_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"line 3: 3 cells, but the header has 2"):
        _rows(tmp_path, "code,skeins\nT1,2\nT2,0,5\n")
    assert _rows(tmp_path, "code,name\nT1,rose,,\n") == [(2, "T1", "rose")]


@pytest.mark.parametrize("text", ["=1+1", "+1+1", "-1+cmd", "@sum", "=LINK(1)", "'=1", "''@"])
def test_no_text_is_a_formula_in_a_spreadsheet_and_all_come_back(tmp_path: Path, text: str) -> None:
    written = table_text(("code", "name"), [("T1", text)])
    cell = list(csv.reader(io.StringIO(written)))[1][1]
    assert cell[0] == "'"
    assert _rows(tmp_path, written) == [(2, "T1", text)]


def test_numbers_stay_numbers() -> None:
    assert table_text(("a", "b"), [("-3.25", -4.5)]) == "a,b\n-3.25,-4.5\n"


@given(st.text(min_size=1), st.text())
def test_any_text_comes_back_without_what_would_steer_a_screen(
    tmp_path_factory: pytest.TempPathFactory, code: str, name: str
) -> None:
    code = f"x{code}".encode("utf-8", "replace").decode()
    name = name.encode("utf-8", "replace").decode()
    found = _rows(tmp_path_factory.mktemp("t"), table_text(("code", "name"), [(code, name)]))
    assert found == [(2, harmless(code).strip(), harmless(name).strip())]
