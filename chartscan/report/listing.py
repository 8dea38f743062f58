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
LOOSE_LEAST = 12  # columns below which words in a column can't be read; no source


@dataclass(frozen=True)
class Column:
    """A column of a list.

    Attributes:
        head: what stands over it.
        right: its cells stand at the right edge (numbers).
        loose: its cells are words that may go on in the next line where the window is narrow.
    """

    head: str
    right: bool = False
    loose: bool = False


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
    narrowed = _narrowed(columns, wide, width)
    if rows and narrowed:
        ruled = GAP.join("─" * size for size in narrowed)
        lines = [*_row(columns, heads, heads, narrowed), ruled]
        for text, row in zip(texts, rows, strict=True):
            lines += _row(columns, text, row, narrowed)
        return lines
    return [
        line
        for text, row in zip(texts, rows, strict=True)
        for line in _stacked(columns, text, row, width)
    ]


def _narrowed(columns: Sequence[Column], wide: Sequence[int], width: int) -> list[int] | None:
    """The widths of the columns where they fit, loose ones made narrower; None where they don't."""
    sizes = list(wide)
    loose = [n for n, column in enumerate(columns) if column.loose and wide[n] > LOOSE_LEAST]
    over = sum(sizes) + len(GAP) * (len(sizes) - 1) - width
    while over > 0 and loose:
        widest = max(loose, key=sizes.__getitem__)
        others = [sizes[n] for n in loose if sizes[n] < sizes[widest]]
        least = max([LOOSE_LEAST, *others])
        if sizes[widest] == LOOSE_LEAST:
            return None
        step = min(over, max(1, sizes[widest] - least))
        sizes[widest] -= step
        over -= step
    return sizes if over <= 0 else None


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
) -> list[str]:
    """A row of the list: one line, or as many as its loose cells need."""
    if all(_length(text) <= size for text, size in zip(texts, wide, strict=True)):
        return [_line(columns, texts, cells, wide)]
    folded = [
        fold(text, size) if column.loose else [text]
        for column, text, size in zip(columns, texts, wide, strict=True)
    ]
    first = [lines[0] for lines in folded]
    rest = [
        [lines[number] if number < len(lines) else "" for lines in folded]
        for number in range(1, max(map(len, folded)))
    ]
    return [
        _line(columns, first, cells, wide),
        *(_line(columns, line, line, wide) for line in rest),
    ]


def fold(text: str, width: int, *, cut: bool = True) -> list[str]:
    """``text`` in lines of at most ``width`` columns, between words; a longer word is ``cut``."""
    lines = [""]
    for word in text.split():
        tried = f"{lines[-1]} {word}".strip()
        if _length(tried) <= width:
            lines[-1] = tried
            continue
        lines += [word] if lines[-1] else []
        lines[-1] = lines[-1] or word
        while cut and _length(lines[-1]) > width:
            head = _fitting(lines[-1], width)
            lines[-1:] = [lines[-1][:head], lines[-1][head:]]
    return lines


def _fitting(text: str, width: int) -> int:
    """How many characters of ``text`` fit into ``width`` columns; one at least."""
    end = len(text)
    while end > 1 and _length(text[:end]) > width:
        end -= 1
    return end


def _line(
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
        (_length(f"{column.head} {text}"), f"{column.head} {_painted(text, cell)}", column.loose)
        for column, text, cell in zip(columns[1:], texts[1:], cells[1:], strict=True)
        if text not in BLANK
    ]
    yield texts[0]
    line, used = INDENT, len(INDENT)
    for size, words, loose in named:
        if used > len(INDENT) and used + len(GAP) + size > width:
            yield line.rstrip()
            line, used = INDENT, len(INDENT)
        if loose and len(INDENT) + size > width:
            *full, line = [INDENT + part for part in fold(words, width - len(INDENT))]
            yield from full
            used = _length(line)
            continue
        gap = GAP if used > len(INDENT) else ""
        line, used = line + gap + words, used + len(gap) + size
    if used > len(INDENT):
        yield line.rstrip()
