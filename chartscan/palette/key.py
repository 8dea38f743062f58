"""The user's key: which thread the chart names for which class.

CSV ``class,code`` with optional ``line``. A class is named by its index in the chart, by its
symbol, or by its colour as ``#rrggbb``; several that get one thread by their indices with blanks
between. A class whose code is left blank, as in a template that is filled in by half, is matched by
its colour; one that has none stays without a thread. ``A1+S1`` for a code is a blend, one strand of
each; so is ``3+S1`` for a class, which blends the row's thread with S1 for class 3. A kit's table
is a key.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from chartscan.chart import Chart, ChartClass
from chartscan.colour import format_hex
from chartscan.csvtable import Row, Table, read_rows, refuse
from chartscan.palette.keytemplate import class_at
from chartscan.palette.thread import Palette, Thread

SEVERAL = re.compile(r"\d+(\+\S+)?")  # one of several classes in a cell


def load_key(path: Table, chart: Chart, palette: Palette) -> Mapping[int, Thread]:
    """The thread that the key in a file, or in a text, names, by class index.

    Of a blend it is the first, see :func:`load_strands`.

    Raises:
        TableError: the key can't be read, or rows name no class of ``chart`` or no thread of
            ``palette``; all of them are named.
    """
    return first_and_second(load_strands(path, chart, palette))[0]


def load_strands(path: Table, chart: Chart, palette: Palette) -> Mapping[int, tuple[Thread, ...]]:
    """The thread that a key names, or the two of a blend, by class index.

    Raises:
        TableError: as :func:`load_key`.
    """
    named: dict[int, tuple[Thread, ...]] = {}
    bad: list[str] = []
    for row in read_rows(path, ("class", "code")):
        if not row.text("code"):
            continue
        try:
            for index, threads in _row_strands(row, chart, palette):
                _check_anchors(row, index, chart)
                before = named.get(index)
                # The two threads of a blend have a row each in a kit's table.
                if before and (len(threads) == 1 or set(before) != set(threads)):
                    raise ValueError(f"class {row.text('class')} stands twice")
                named.setdefault(index, threads)
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
    refuse(path, bad)
    return named


def first_and_second(
    strands: Mapping[int, tuple[Thread, ...]],
) -> tuple[dict[int, Thread], dict[int, Thread]]:
    """What :func:`load_strands` gives as the first threads, and the second ones of blends."""
    first = {index: threads[0] for index, threads in strands.items()}
    return first, {index: threads[1] for index, threads in strands.items() if len(threads) > 1}


def _row_strands(row: Row, chart: Chart, palette: Palette) -> list[tuple[int, tuple[Thread, ...]]]:
    """The classes that a row names, each with its thread or the two of its blend."""
    text, line = row.need("class"), row.text("line")
    threads = _strands(palette, row.need("code"), line)
    some = text.split()
    if (len(some) == 1 and "+" not in text) or not all(SEVERAL.fullmatch(one) for one in some):
        return [(_class_index(text, chart), threads)]
    found = []
    for one in some:
        index, _, other = one.partition("+")
        partner = (find_thread(palette, other),) if other else ()
        found.append((_class_index(index, chart), (*threads, *partner)))
    if any(len(all_in_all) > 2 for _, all_in_all in found):
        raise ValueError("a blend is of two threads")
    return found


def _strands(palette: Palette, code: str, line: str) -> tuple[Thread, ...]:
    """One thread, or two that are joined by a plus; a code may have a plus in it."""
    try:
        return (find_thread(palette, code, line),)
    except ValueError:
        if code.count("+") != 1:
            raise
    first, second = (find_thread(palette, part, line) for part in code.split("+"))
    if first == second:
        raise ValueError(f"{code!r} blends a thread with itself")
    return first, second


def load_codes(path: Table, palette: Palette) -> tuple[tuple[str, Thread], ...]:
    """Each called-for thread of a key, in the file's order, with its ``class`` cell ("" if none).

    Raises:
        TableError: as :func:`load_key`.
    """
    found: list[tuple[str, Thread]] = []
    bad: list[str] = []
    for row in read_rows(path, ("code",)):
        try:
            found.append((row.text("class"), _thread(row, palette)))
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
    refuse(path, bad)
    return tuple(found)


def find_thread(palette: Palette, code: str, line: str = "") -> Thread:
    """The thread of that code, capitals or not; ValueError where there is none or several."""
    wanted = code.strip().casefold()
    found = [
        t
        for t in palette.threads
        if t.code.casefold() == wanted and (not line or t.line.casefold() == line.casefold())
    ]
    exact = [t for t in found if t.code == code.strip()]
    found = exact or found
    if not found:
        where = f" in line {line}" if line else ""
        raise ValueError(f"no thread {code!r}{where} in the palette")
    if len(found) > 1:
        lines = ", ".join(t.line or "(no line)" for t in found)
        raise ValueError(f"thread {code!r} stands in several lines ({lines}); name the line too")
    return found[0]


def _thread(row: Row, palette: Palette) -> Thread:
    return find_thread(palette, row.need("code"), row.text("line"))


def _check_anchors(row: Row, index: int, chart: Chart) -> None:
    """Raise ValueError where the cells that the row names belong to another class by now."""
    found = class_at(row.text("cells"), chart)
    if found is not None and found != index:
        raise ValueError(
            f"the cells of class {index} are of class {found} in this chart; "
            "write the key template again, it keeps what is filled in"
        )


def _class_index(text: str, chart: Chart) -> int:
    worked = [c for c in chart.classes if c.kind != "empty"]
    found = [c for c in worked if _is_called(c, text)]
    if not found:
        raise ValueError(f"no class {text!r} in the chart that is stitched")
    if len(found) > 1:
        raise ValueError(f"{text!r} is the symbol or colour of several classes; give the index")
    return found[0].index


def _is_called(entry: ChartClass, text: str) -> bool:
    if text.isdecimal():
        return entry.index == int(text)
    if entry.rgb is not None and format_hex(entry.rgb) == text.lower():
        return True
    return entry.symbol == text
