"""Long lists for the terminal: a line a row where it fits, else a row in lines of its own.

A table of ``rich`` measures and folds every cell; of ten thousand rows that takes seconds, and in
a narrow window it breaks numbers. Here a number is shown whole or not at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chartscan.plaintext import plain

GAP = "  "
INDENT = "   "
SWATCH = "    "
BLANK = ("", "-")


@dataclass(frozen=True)
class Column:
    """A column: its head, and whether its cells stand at the right edge (numbers)."""

    head: str
    right: bool = False


@dataclass(frozen=True)
class Swatch:
    """A cell that shows a colour: as a block where ``shown``, else as ``#rrggbb``; "-" for None."""

    rgb: tuple[int, int, int] | None
    shown: bool


Cell = str | Swatch


def list_lines(columns: Sequence[Column], rows: Sequence[Sequence[Cell]], width: int) -> list[str]:
    """The lines of a list: its heads and a line a row where all of them fit into ``width``.

    Where they don't, each row begins with its first cells, and the others follow below it, each
    with its head, as many to a line as fit; nothing is cut.
    """
    texts = [[_text(cell) for cell in row] for row in rows]
    used = [n for n in range(len(columns)) if not n or any(text[n] not in BLANK for text in texts)]
    columns = [columns[n] for n in used]  # a column that holds nothing isn't shown
    texts = [[text[n] for n in used] for text in texts]
    rows = [[row[n] for n in used] for row in rows]
    heads = [column.head for column in columns]
    wide = [
        max(map(_length, (head, *column)), default=0)
        for head, column in zip(heads, zip(*texts, strict=True), strict=False)
    ]
    if rows and sum(wide) + len(GAP) * (len(wide) - 1) <= width:
        ruled = GAP.join("─" * size for size in wide)
        lines = [_row(columns, heads, heads, wide), ruled]
        return lines + [
            _row(columns, text, row, wide) for text, row in zip(texts, rows, strict=True)
        ]
    return [
        line
        for text, row in zip(texts, rows, strict=True)
        for line in _stacked(columns, text, row, width)
    ]


def _text(cell: Cell) -> str:
    if isinstance(cell, str):
        return plain(cell)
    if cell.rgb is None:
        return "-"
    return SWATCH if cell.shown else "#{:02x}{:02x}{:02x}".format(*cell.rgb)


def _length(text: str) -> int:
    """Columns of the terminal that a text takes."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def _row(
    columns: Sequence[Column], texts: Sequence[str], cells: Sequence[Cell], wide: Sequence[int]
) -> str:
    parts = []
    for column, text, cell, size in zip(columns, texts, cells, wide, strict=True):
        blank = " " * (size - _length(text))
        shown = _painted(text, cell)
        parts.append(blank + shown if column.right else shown + blank)
    return GAP.join(parts).rstrip()


def _painted(text: str, cell: Cell) -> str:
    if isinstance(cell, Swatch) and cell.shown and cell.rgb is not None:
        return "\x1b[48;2;{};{};{}m{}\x1b[0m".format(*cell.rgb, text)
    return text


def _stacked(
    columns: Sequence[Column], texts: Sequence[str], cells: Sequence[Cell], width: int
) -> Iterator[str]:
    """A row in lines of its own: the first cell, then the others that aren't blank."""
    named = [
        (_length(f"{column.head} {text}"), f"{column.head} {_painted(text, cell)}")
        for column, text, cell in zip(columns[1:], texts[1:], cells[1:], strict=True)
        if text not in BLANK
    ]
    yield texts[0]
    line, used = INDENT, len(INDENT)
    for size, words in named:
        if used > len(INDENT) and used + len(GAP) + size > width:
            yield line.rstrip()
            line, used = INDENT, len(INDENT)
        gap = GAP if used > len(INDENT) else ""
        line, used = line + gap + words, used + len(gap) + size
    if used > len(INDENT):
        yield line.rstrip()
