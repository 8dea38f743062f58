"""Thread ranges from files: CSV with a header, or a GIMP palette.

CSV columns: ``code``, ``name`` and either ``hex`` (a variegated thread has several, with blanks
between) or ``L``, ``a``, ``b``; optional ``line``, ``status``, ``metres`` (or ``yards``),
``strands``, ``price`` and ``illuminant`` (of the Lab values; D65 where nothing is said). How a
thread is worked, where that isn't as usual: ``kind`` and, of pearl cotton, ``size``; ``cut`` and
``tail`` (30cm, 12in), ``needle`` (strands), ``hand`` (1.1: a tenth more than usual).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar, get_args

import numpy as np

from chartscan.colour import (
    PERCEPTIBLE,
    ciede2000,
    lab_to_d65,
    lab_to_srgb,
    parse_hex,
    round_rgb,
    srgb_to_lab,
)
from chartscan.csvtable import Row, parse_number, read_rows, read_text, refuse
from chartscan.errors import TableError
from chartscan.lengths import parse_length
from chartscan.palette.samples import SAMPLES, resolve
from chartscan.palette.thread import Palette, Status, Thread

T = TypeVar("T")
LabTriple = tuple[float, float, float]

KINDS = ("cotton", "pearl", "metallic", "silk", "wool", "other")
METRES_PER_YARD = 0.9144
MOST_CUT_MM = 10_000.0  # longer than any arm

_GIMP = "GIMP Palette"
_HEX = re.compile(r"#[0-9A-Fa-f]{6}")
_GIMP_ROW = re.compile(r"\s*(\d+)\s+(\d+)\s+(\d+)\s*(.*)")


@dataclass(frozen=True)
class RowColour:
    """The colour of a table's row: CIELAB under D65, sRGB 0..255 to show it, and its several."""

    lab: tuple[float, float, float]
    rgb: tuple[int, int, int]
    several: tuple[tuple[int, int, int], ...] = ()


def load_palette(path: Path, illuminant: str = "D65") -> Palette:
    """The thread range in a CSV or GIMP palette file, or in the sample of that name.

    Args:
        path: the file, or the bare name of a sample (:data:`chartscan.palette.samples.SAMPLES`).
        illuminant: of Lab values in rows that don't name one; brought to D65.

    Raises:
        TableError: the file can't be read, or rows are wrong; all of them are named.
    """
    told, path = path, resolve(path)
    if not path.exists():
        raise TableError(
            f"{path}: there is no such file, nor a sample palette of that name "
            f"({', '.join(SAMPLES)})"
        )
    first, _, _ = read_text(path).partition("\n")
    threads = _read_gimp(path) if first.strip() == _GIMP else _read_csv(path, illuminant)
    if not threads:
        raise TableError(f"{path}: holds no thread")
    return Palette(tuple(threads), str(told), tuple(_outside_srgb(threads)))


def _outside_srgb(threads: Sequence[Thread]) -> list[str]:
    """One line that names the threads whose swatch on a screen isn't their colour."""
    shown = srgb_to_lab(np.array([t.rgb for t in threads], dtype=np.float64))
    off = ciede2000(np.array([t.lab for t in threads]), shown)
    codes = [t.code for t, delta_e in zip(threads, off, strict=True) if delta_e >= PERCEPTIBLE]
    if not codes:
        return []
    named = ", ".join(codes[:10]) + (" …" if len(codes) > 10 else "")
    return [
        f"{len(codes)} colours lie outside what a screen shows (sRGB); they are matched as they "
        f"are, but their swatches are only the nearest: {named}"
    ]


def _read_csv(path: Path, illuminant: str) -> list[Thread]:
    rows = read_rows(path, ("code",))
    names = rows[0].cells.keys() if rows else ()
    if rows and "hex" not in names and not {"l", "a", "b"} <= set(names):
        raise TableError(f"{path}: needs a column hex, or the columns L, a and b")
    known = _lab_of_hexes(rows)
    return _unique(path, ((r.line, r) for r in rows), lambda r: parse_thread(r, illuminant, known))


def _lab_of_hexes(rows: Sequence[Row]) -> Mapping[str, LabTriple]:
    """Lab of every cell that holds one plain #rrggbb, worked out for all of them at once."""
    texts = sorted({text for row in rows if _HEX.fullmatch(text := row.text("hex"))})
    lab = srgb_to_lab(np.array([parse_hex(text) for text in texts]).reshape(-1, 3)).tolist()
    return {text: (lightness, a, b) for text, (lightness, a, b) in zip(texts, lab, strict=True)}


def _unique(
    path: Path, rows: Iterable[tuple[int, T]], parse: Callable[[T], Thread]
) -> list[Thread]:
    """Parse each (line number, row); bad rows and codes that stand twice are refused together."""
    threads: list[Thread] = []
    seen: dict[tuple[str, str], int] = {}
    bad: list[str] = []
    for number, row in rows:
        try:
            thread = parse(row)
        except ValueError as error:
            bad.append(f"line {number}: {error}")
            continue
        earlier = seen.setdefault((thread.line, thread.code), number)
        if earlier != number:
            bad.append(f"line {number}: code {thread.code!r} stands already in line {earlier}")
        threads.append(thread)
    refuse(path, bad)
    return threads


def parse_thread(
    row: Row, illuminant: str = "D65", known: Mapping[str, LabTriple] = MappingProxyType({})
) -> Thread:
    """The thread that a row of a palette says; ValueError where something in it is wrong.

    Where ``known`` has the Lab of its cell ``hex``, that isn't worked out again.
    """
    told = row.text("hex")
    if told in known and not any(row.text(name) for name in ("l", "a", "b")):
        colour = RowColour(known[told], parse_hex(told), ())
    else:
        colour = parse_colours(row, illuminant)
    status = row.text("status", "current").lower()
    if status not in get_args(Status):
        raise ValueError(f"status {status!r} is neither current nor discontinued")
    price = row.number("price") if row.text("price") else None
    if price is not None and price < 0:
        raise ValueError(f"price {row.text('price')!r} is below 0")
    return Thread(
        code=row.need("code"),
        name=row.text("name"),
        lab=colour.lab,
        rgb=colour.rgb,
        line=row.text("line"),
        status="discontinued" if status == "discontinued" else "current",
        metres=_put_up(row),
        strands=_whole(row, "strands"),
        price=price,
        colours=colour.several,
        kind=_kind(row),
        size=_positive(row, "size"),
        working_mm=_length(row, "cut"),
        tail_mm=_length(row, "tail"),
        in_needle=_whole(row, "needle"),
        hand=_positive(row, "hand") or 1.0,
    )


def _put_up(row: Row) -> float | None:
    """Metres in a put-up, by the column of metres or that of yards."""
    yards = _positive(row, "yards")
    if yards is None:
        return _positive(row, "metres")
    if row.text("metres"):
        raise ValueError("metres and yards are both told; leave one blank")
    return yards * METRES_PER_YARD


def _kind(row: Row) -> str:
    kind = row.text("kind").lower()
    if kind and kind not in KINDS:
        raise ValueError(f"kind {kind!r} is none of {', '.join(KINDS)}")
    return kind


def _whole(row: Row, name: str) -> int | None:
    value = _positive(row, name)
    if value is not None and value != int(value):
        raise ValueError(f"{name} {row.text(name)!r} isn't a whole number")
    return None if value is None else int(value)


def _length(row: Row, name: str) -> float | None:
    if not row.text(name):
        return None
    value = parse_length(row.text(name))
    if not 0 < value <= MOST_CUT_MM:
        raise ValueError(f"{name} {row.text(name)!r} isn't a length for the needle; give 30cm, say")
    return value


def parse_colours(row: Row, illuminant: str = "D65") -> RowColour:
    """The colour of a row: its ``L``, ``a`` and ``b``, or its ``hex`` (one or more).

    Where both are given, Lab counts: it is the more exact. The colour of a variegated thread is
    the mean of its colours in Lab: each stitch shows one of them, and what is judged is the
    average of the differences.
    """
    several = tuple(parse_hex(part) for part in re.split(r"[\s,;|/+]+", row.text("hex")) if part)
    if any(row.text(name) for name in ("l", "a", "b")):
        measured = (row.number("l"), row.number("a"), row.number("b"))
        check_lab(measured)
        lab = _triple(lab_to_d65(measured, row.text("illuminant", illuminant)))
    elif several:
        lab = _triple(srgb_to_lab(several).mean(axis=0))
    else:
        raise ValueError("no colour; give hex, or L, a and b")
    shown = round_rgb(lab_to_srgb(lab))
    return RowColour(lab, shown, several if len(several) > 1 else ())


def check_lab(lab: tuple[float, float, float]) -> None:
    """ValueError where no surface has this colour: L outside 0..100, a or b beyond ±128."""
    if not (0 <= lab[0] <= 100 and abs(lab[1]) <= 128 and abs(lab[2]) <= 128):
        said = ", ".join(f"{value:g}" for value in lab)
        raise ValueError(
            f"Lab {said} is no colour of a thread (L is 0 to 100, a and b -128 to 128)"
        )


def _triple(
    values: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> tuple[float, float, float]:
    first, second, third = (float(value) for value in values)
    return first, second, third


def _positive(row: Row, name: str) -> float | None:
    if not row.text(name):
        return None
    value = parse_number(row.text(name), name)
    if value <= 0:
        raise ValueError(f"{name} {row.text(name)!r} isn't above 0")
    return value


def _read_gimp(path: Path) -> list[Thread]:
    """Threads of a GIMP palette: the code is the colour's name, or its hex where it has none."""
    lines = read_text(path).splitlines()
    rows = [
        (number, line)
        for number, line in enumerate(lines, 1)
        if number > 1 and line.strip() and not re.match(r"\s*#|\s*(Name|Columns|Channels):", line)
    ]
    return _unique(path, rows, _gimp_thread)


def _gimp_thread(line: str) -> Thread:
    found = _GIMP_ROW.fullmatch(line)
    if not found:
        raise ValueError(f"{line.strip()!r} isn't of the form: red green blue name")
    red, green, blue = (int(found[i]) for i in (1, 2, 3))
    if max(red, green, blue) > 255:
        raise ValueError(f"colour {red} {green} {blue} goes beyond 255")
    name = found[4].strip()
    code = name if name and name.lower() != "untitled" else f"#{red:02x}{green:02x}{blue:02x}"
    lab = _triple(srgb_to_lab((red, green, blue)))
    return Thread(code, name, lab, (red, green, blue))
