"""The fabric's colour: threads that can hardly be seen on it, and the nearest fabric of a list."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from chartscan.cloth import COUNT_TOLERANCE
from chartscan.colour import ACCEPTABLE, DIFFERENT, ciede2000, directions, grade, srgb_to_lab
from chartscan.csvtable import Row, parse_number, parse_rows, read_rows
from chartscan.errors import MatchError
from chartscan.palette.load import parse_colours
from chartscan.palette.remarks import label, listed
from chartscan.palette.samples import resolve
from chartscan.palette.thread import Match, Thread


@dataclass(frozen=True)
class FabricColour:
    """A piece of fabric in a user's list.

    Attributes:
        name: what the user calls it.
        lab: CIELAB under D65, 2° observer.
        rgb: sRGB 0..255.
        count: fabric threads per inch; None where not told.
        size_mm: width and height of the piece; None where not told.
        fibre: what it is made of, or "".
    """

    name: str
    lab: tuple[float, float, float]
    rgb: tuple[int, int, int]
    count: float | None = None
    size_mm: tuple[float, float] | None = None
    fibre: str = ""


@dataclass(frozen=True)
class FabricCandidate:
    """A fabric as a stand-in for a wanted colour: how far off, and which way."""

    fabric: FabricColour
    delta_e: float
    grade: str
    direction: str


def load_fabrics(path: Path) -> tuple[FabricColour, ...]:
    """The fabrics in a CSV ``name`` and ``hex`` (or ``L``, ``a``, ``b``), in the file's order.

    Optional columns: ``count`` (threads per inch), ``width_cm`` and ``height_cm``, ``fibre``.

    Raises:
        TableError: the file can't be read, or rows are wrong; all of them are named.
    """
    path = resolve(path)
    return tuple(parse_rows(path, read_rows(path, ("name",)), _fabric))


def nearest_fabrics(
    wanted_lab: Sequence[float],
    fabrics: Sequence[FabricColour],
    number: int = 5,
    count: float | None = None,
    size_mm: tuple[float, float] | None = None,
) -> tuple[FabricCandidate, ...]:
    """The fabrics nearest in colour to ``wanted_lab``, nearest first, of those that serve.

    Args:
        wanted_lab: CIELAB under D65.
        fabrics: the list.
        number: how many.
        count: threads per inch that it must have; a fabric without a count is left out then.
        size_mm: width and height that must fit, either way round; likewise.

    Raises:
        MatchError: none serves.
    """
    serving = [f for f in fabrics if _has_count(f, count) and _holds(f, size_mm)]
    if not serving:
        raise MatchError("no fabric of the list has that count and size; leave one of them out")
    lab = np.array([f.lab for f in serving])
    delta_e = ciede2000(np.array(wanted_lab)[None], lab)
    words = directions(np.broadcast_to(np.array(wanted_lab), lab.shape), lab)
    found = [
        FabricCandidate(fabric, float(difference), grade(float(difference)), word)
        for fabric, difference, word in zip(serving, delta_e, words, strict=True)
    ]
    return tuple(sorted(found, key=lambda c: (c.delta_e, c.fabric.name))[:number])


def hardly_seen(
    matches: Sequence[Match], fabric_rgb: tuple[int, int, int], contrast: float = DIFFERENT
) -> list[str]:
    """A line for each thread that hardly shows on fabric of that colour.

    ``contrast`` is the ΔE00 under which it hardly shows; the limit of "different" by default.
    """
    classes: dict[Thread, list[str]] = defaultdict(list)
    for match in matches:
        if match.chosen.thread.told:
            classes[match.chosen.thread].append(str(match.class_index))
    if not classes:
        return []
    fabric = srgb_to_lab(np.array(fabric_rgb, dtype=np.float64))
    delta_e = ciede2000(np.array([thread.lab for thread in classes]), fabric).tolist()
    return [
        f"{label(thread)} (class {listed(its)}) {_how_seen(difference)} on the fabric "
        f"(ΔE {difference:.1f})"
        for (thread, its), difference in zip(classes.items(), delta_e, strict=True)
        if difference < contrast
    ]


def _how_seen(delta_e: float) -> str:
    return "can't be seen" if delta_e < ACCEPTABLE else "can hardly be seen"


def _has_count(fabric: FabricColour, count: float | None) -> bool:
    if count is None:
        return True
    return fabric.count is not None and abs(fabric.count - count) <= COUNT_TOLERANCE


def _holds(fabric: FabricColour, size_mm: tuple[float, float] | None) -> bool:
    if size_mm is None:
        return True
    if fabric.size_mm is None:
        return False
    have, want = sorted(fabric.size_mm), sorted(size_mm)
    return have[0] >= want[0] and have[1] >= want[1]


def _fabric(row: Row) -> FabricColour:
    colour = parse_colours(row)
    width, height = (_length(row, name) for name in ("width_cm", "height_cm"))
    if (width is None) != (height is None):
        raise ValueError("needs both width_cm and height_cm, or neither")
    return FabricColour(
        name=row.need("name"),
        lab=colour.lab,
        rgb=colour.rgb,
        count=_length(row, "count"),
        size_mm=(width * 10, height * 10) if width is not None and height is not None else None,
        fibre=row.text("fibre"),
    )


def _length(row: Row, name: str) -> float | None:
    if not row.text(name):
        return None
    value = parse_number(row.text(name), name)
    if value <= 0:
        raise ValueError(f"{name} {row.text(name)!r} isn't above 0")
    return value
