"""CSV as people really have it: any common separator, a BOM or none, comma or point decimals."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from chartscan.errors import TableError
from chartscan.files import is_special

T = TypeVar("T")

BAD_ROWS_SHOWN = 20  # a screenful; the rest are counted


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
        """The cell of column ``name``, stripped; ``default`` where it is missing or blank."""
        return self.cells.get(name, "").strip() or default

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
    return value


def read_rows(source: Table, required: Sequence[str]) -> list[Row]:
    """The rows of a CSV table with a header; blank lines are skipped.

    Args:
        source: the file, or the text; UTF-8 with or without BOM; ``,``, ``;`` or tab between cells.
        required: lower-case names of columns that must be there.

    Raises:
        TableError: the file can't be read, is empty, or lacks a required column.
    """
    text = read_text(source)
    header, _, _ = text.partition("\n")
    separator = max(",;\t", key=header.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    try:
        names = [name.strip().lower() for name in next(reader, [])]
        missing = [name for name in required if name not in names]
        if missing:
            raise TableError(
                f"{source}: no column {', '.join(missing)}; the header is {header.strip()!r}"
            )
        return [
            Row(reader.line_num, dict(zip(names, cells, strict=False)))
            for cells in reader
            if any(cell.strip() for cell in cells)
        ]
    except csv.Error as error:
        raise TableError(f"{source}: line {reader.line_num}: {error}") from error


def read_text(source: Table) -> str:
    """The text of a table or UTF-8 file, BOM removed; TableError where it can't be had."""
    text = _file_text(source) if isinstance(source, Path) else source.text.removeprefix("\ufeff")
    if not text.strip():
        raise TableError(f"{source}: is empty")
    return text


def _file_text(path: Path) -> str:
    try:
        if is_special(path):
            raise TableError(f"{path}: isn't a plain file; save it to disk first")
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise TableError(
            f"{path}: can't be opened ({error.strerror}); check the name and the folder"
        ) from error
    except UnicodeDecodeError as error:
        raise TableError(f"{path}: isn't UTF-8 text; save it as CSV with UTF-8") from error


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
