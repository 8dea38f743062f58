"""CSV as people really have it: any common separator, a BOM or none, comma or point decimals."""

from __future__ import annotations

import codecs
import csv
import io
import re
import warnings
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from chartscan.errors import TableError, TableWarning
from chartscan.files import is_special
from chartscan.plaintext import harmless

T = TypeVar("T")

BAD_ROWS_SHOWN = 20  # a screenful; the rest are counted
LINE_SHOWN = 60  # characters: most of a row, by which a person sees whether its letters are right
MOST = 1e12  # of anything: micrometres round the earth; more is a slip of the finger
_FORMULA = re.compile(r"'*[=+\-@]")  # what a spreadsheet reads as a formula, or as one disarmed
_BINARY = re.compile("[\x01-\x08\x0e-\x1f]")  # in a workbook or picture, and in no table
_UTF8_LETTER = re.compile(rb"[\xc3-\xc5][\x80-\xbf]")  # a Latin letter with an accent


@dataclass(frozen=True)
class TableText:
    """A table that lies in no file: its text, and what it is called where something is wrong."""

    text: str
    name: str = "the table"

    def __str__(self) -> str:
        return self.name


Table = Path | TableText
"""Where a table comes from; its ``str`` is what it is called."""


@dataclass(frozen=True)
class Row:
    """One row of a table: its line in the file, and its cells by lower-case column name."""

    line: int
    cells: Mapping[str, str]

    def text(self, name: str, default: str = "") -> str:
        """The cell of column ``name``, stripped; ``default`` where it is missing or blank.

        The apostrophe that :func:`table_text` set before a formula is taken off again.
        """
        value = self.cells.get(name, "").strip()
        if value[:1] == "'" and _FORMULA.match(value):
            value = value[1:]
        return value or default

    def need(self, name: str) -> str:
        """The cell of column ``name``; ValueError where it is missing or blank."""
        value = self.text(name)
        if not value:
            raise ValueError(f"no {name}")
        return value

    def number(self, name: str, default: float | None = None) -> float:
        """The number in column ``name``, with a point or a comma; ValueError where it is none."""
        value = self.text(name)
        if not value and default is not None:
            return default
        return parse_number(value, name)


def parse_number(text: str, name: str) -> float:
    """The finite number that ``text`` says, decimal point or comma; ValueError names ``name``."""
    try:
        value = float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
    except ValueError:
        raise ValueError(f"{name} {text!r} isn't a number") from None
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError(f"{name} {text!r} isn't a finite number")
    if abs(value) > MOST:
        raise ValueError(f"{name} {text!r} is too large to be meant")
    return value


def read_rows(source: Table, required: Sequence[str]) -> list[Row]:
    """The rows of a CSV table with a header; blank lines are skipped.

    Args:
        source: the file, or the text (:func:`read_text`); ``,``, ``;`` or tab between cells.
        required: lower-case names of columns that must be there.

    Raises:
        TableError: the file can't be read, is empty, lacks a required column, or rows have more
            cells than the header or a quotation mark that isn't closed; all of them are named.
    """
    text = read_text(source)
    header, _, _ = text.partition("\n")
    separator = max(",;\t", key=header.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    first = 1
    try:
        names = [name.strip().lower() for name in next(reader, [])]
        missing = [name for name in required if name not in names]
        if missing:
            raise TableError(
                f"{source}: no column {', '.join(missing)}; the header is {header.strip()!r}"
            )
        rows: list[Row] = []
        bad: list[str] = []
        first = reader.line_num + 1
        for cells in reader:
            wrong = _wrong(cells, len(names), separator)
            if wrong:
                bad.append(f"line {first}: {wrong}")
            elif any(cell.strip() for cell in cells):
                rows.append(Row(first, dict(zip(names, cells, strict=False))))
            first = reader.line_num + 1
    except csv.Error as error:
        raise TableError(f"{source}: line {first}: {_reason(str(error))}") from error
    refuse(source, bad)
    return rows


UNCLOSED = "a quotation mark opens here and isn't closed on its line"


def _wrong(cells: Sequence[str], columns: int, separator: str) -> str:
    """What is wrong with the shape of a row; "" where nothing is.

    A cell may run over lines (a note, say), but not over what looks like other rows.
    """
    if any("\n" in cell and separator in cell.partition("\n")[2] for cell in cells):
        return UNCLOSED
    if any(cell.strip() for cell in cells[columns:]):
        return (
            f"{len(cells)} cells, but the header has {columns}; put a cell that holds"
            f" {separator!r} into quotation marks"
        )
    return ""


def _reason(error: str) -> str:
    """The module's own words, in those of a stitcher where it means a quotation mark."""
    return UNCLOSED if "expected after" in error or "end of data" in error else error


def table_text(header: Sequence[str], rows: Iterable[Sequence[str | float]]) -> str:
    """A table as CSV; no text in it is taken for a formula by a spreadsheet, or steers a screen."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return text.getvalue()


def _cell(value: str | float) -> str | float:
    """A cell as it is written: an apostrophe goes before what begins like a formula."""
    if not isinstance(value, str):
        return value
    value = harmless(value)
    return f"'{value}" if _FORMULA.match(value) and not _is_number(value) else value


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def read_text(source: Table) -> str:
    """The text of a table or file, BOM removed; TableError where it can't be had.

    What was assumed of a file (:func:`decoded`) is a :class:`TableWarning`.
    """
    text = _file_text(source) if isinstance(source, Path) else source.text.removeprefix("\ufeff")
    if not text.strip():
        raise TableError(f"{source}: is empty")
    return text


def _file_text(path: Path) -> str:
    try:
        if is_special(path):
            raise TableError(f"{path}: isn't a plain file; save it to disk first")
        content = path.read_bytes()
    except OSError as error:
        raise TableError(
            f"{path}: can't be opened ({error.strerror}); check the name and the folder"
        ) from error
    text, assumed = decoded(content, path)
    if assumed:
        warnings.warn(TableWarning(assumed), stacklevel=3)
    return text


def decoded(content: bytes, name: object) -> tuple[str, str]:
    """The text of a table's file, and in words what was assumed of it, "" where nothing was.

    It is UTF-8, or UTF-16 that begins with its mark, as spreadsheets save "Unicode text". Anything
    else is taken for Windows-1252, in which those of western Europe and America save plain CSV.

    Args:
        content: the bytes of the file.
        name: what it is called where something is wrong.

    Raises:
        TableError: it is no text, or not wholly in one of these.
    """
    wide = content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    assumed = ""
    try:
        text = content.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        found = None if wide else _of_windows(content)
        if found is None:
            raise TableError(
                f"{name}: line {line}: isn't UTF-8 text; in your spreadsheet save it as CSV UTF-8"
            ) from error
        text = found
        shown = harmless(text.split("\n")[line - 1]).strip()[:LINE_SHOWN]
        assumed = (
            f"{name}: isn't UTF-8 and is read as Windows-1252, by which line {line} begins"
            f" {shown!r}; where that is wrong, save it as CSV UTF-8 in your spreadsheet"
        )
    if "\0" in text or (assumed and _BINARY.search(text)):
        raise TableError(f"{name}: isn't a table of text; in your spreadsheet save it as CSV UTF-8")
    return text.replace("\r\n", "\n").replace("\r", "\n"), assumed


def _of_windows(content: bytes) -> str | None:
    """The text by the code page of Windows; None where it is of UTF-8 in part, or neither."""
    if _UTF8_LETTER.search(content):
        return None  # the rest of it is damaged: no other reading makes it right
    try:
        return content.decode("cp1252")
    except UnicodeDecodeError:
        return None


def parse_rows(source: Table, rows: Iterable[Row], parse: Callable[[Row], T]) -> list[T]:
    """``parse`` each row; every ValueError is collected and all are named in one TableError."""
    values: list[T] = []
    bad: list[str] = []
    for row in rows:
        try:
            values.append(parse(row))
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
    refuse(source, bad)
    return values


def refuse(source: Table, bad: Sequence[str]) -> None:
    """Raise one TableError that names every bad row; nothing where there is none."""
    if bad:
        more = f"; and {len(bad) - BAD_ROWS_SHOWN} more" if len(bad) > BAD_ROWS_SHOWN else ""
        raise TableError(f"{source}: " + "; ".join(bad[:BAD_ROWS_SHOWN]) + more)
