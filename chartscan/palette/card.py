"""What a stitcher tells about a card of threads: codes, references of known colour, corners."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from chartscan.csvtable import Row, read_rows, refuse
from chartscan.errors import GridError, TableError
from chartscan.palette.load import parse_colours, parse_thread
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.projective import fit_homography

Array = NDArray[np.float64]

NO_THREAD = "-"
CARRIED = ("name", "line", "status", "metres", "strands", "price")


@dataclass(frozen=True)
class CardThread:
    """What stands in one field of a card.

    Attributes:
        code: the thread's code, or :data:`NO_THREAD` for a patch or an empty field.
        also: other palette columns of its row, as text, to be carried over.
    """

    code: str
    also: Mapping[str, str] = field(default_factory=dict)

    @property
    def line(self) -> str:
        """The maker's line, or ""."""
        return self.also.get("line", "")


@dataclass(frozen=True)
class Reference:
    """A field, or another spot of the picture, of known colour.

    Attributes:
        index: of the field, from 0, row by row; spots beside the card are counted on from there.
        lab: its CIELAB under D65.
        at: where the spot is, x and y in pixels; None for a field.
    """

    index: int
    lab: tuple[float, float, float]
    at: tuple[float, float] | None = None


def load_card(path: Path) -> tuple[CardThread, ...]:
    """The codes of a card in the order of its fields, row by row from the top left.

    CSV with a column ``code``, ``-`` for a field without a thread, and any columns of a palette.

    Raises:
        TableError: the file can't be read, codes are missing or stand twice, or what else is said
            could not stand in a palette; all rows are named.
    """
    threads: list[CardThread] = []
    seen: dict[tuple[str, str], int] = {}
    bad: list[str] = []
    for row in read_rows(path, ("code",)):
        code = row.text("code")
        also = {name: row.text(name) for name in CARRIED if row.text(name)}
        if not code:
            bad.append(f"line {row.line}: no code (write {NO_THREAD} for a field without a thread)")
            continue
        try:
            parse_thread(Row(row.line, {**row.cells, "code": code, "hex": "#000000"}))
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
        earlier = seen.setdefault((also.get("line", ""), code), row.line)
        if code != NO_THREAD and earlier != row.line:
            bad.append(f"line {row.line}: code {code!r} stands already in line {earlier}")
        threads.append(CardThread(code, also))
    refuse(path, bad)
    if all(thread.code == NO_THREAD for thread in threads):
        raise TableError(f"{path}: names no thread")
    return tuple(threads)


def load_references(
    path: Path, threads: Sequence[CardThread], illuminant: str = "D65"
) -> tuple[Reference, ...]:
    """What is of known colour, from a CSV with ``hex`` or ``L,a,b``, and where it is.

    That is ``field``, which counts from 1, row by row from the top left; or ``code``; or ``x`` and
    ``y`` in pixels, for the patches of a colour target that lies beside the card, say.

    Raises:
        TableError: the file can't be read, or rows name no field or no colour; all are named.
    """
    references: dict[int, Reference] = {}
    spots: list[tuple[float, float]] = []
    bad: list[str] = []
    for row in read_rows(path, ()):
        try:
            at = (row.number("x"), row.number("y")) if row.text("x") or row.text("y") else None
            index = _field_index(row, threads) if at is None else len(threads) + len(spots)
            if index in references:
                raise ValueError(f"field {index + 1} stands twice")
            references[index] = Reference(index, parse_colours(row, illuminant).lab, at)
            spots += [] if at is None else [at]
        except ValueError as error:
            bad.append(f"line {row.line}: {error}")
    refuse(path, bad)
    if not references:
        raise TableError(f"{path}: names no reference")
    return tuple(references.values())


def _field_index(row: Row, threads: Sequence[CardThread]) -> int:
    if row.text("field"):
        number = row.text("field")
        if not number.isdecimal() or not 1 <= int(number) <= len(threads):
            raise ValueError(f"field {number!r} isn't one of 1 to {len(threads)}")
        return int(number) - 1
    code = row.text("code")
    if not code:
        raise ValueError(
            "names no field; give its number in a column field, its code, or x and y in pixels"
        )
    found = [i for i, thread in enumerate(threads) if thread.code == code]
    if not found:
        raise ValueError(f"code {code!r} isn't on the card")
    if len(found) > 1:
        raise ValueError(f"code {code!r} stands in several fields; give the field's number")
    return found[0]


def corner_lattice(corners: Sequence[tuple[float, float]], columns: int, rows: int) -> Lattice:
    """The lattice of a flat card whose outer corners (x, y in pixels) are told.

    Args:
        corners: top left, top right, bottom right and bottom left of the field grid.
        columns: fields across.
        rows: fields down.

    Raises:
        GridError: the corners don't go round a four-sided area in that order.
    """
    at = np.array(corners, dtype=np.float64)
    if at.shape != (4, 2):
        raise GridError(f"a card has four corners; {len(corners)} were told")
    side = np.roll(at, -1, axis=0) - at
    ahead = np.roll(side, -1, axis=0)
    turn = side[:, 0] * ahead[:, 1] - side[:, 1] * ahead[:, 0]
    if not (turn > 0).all():
        raise GridError(
            "the corners don't go round the card; give them in the order "
            "top left, top right, bottom right, bottom left"
        )
    grid = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], dtype=np.float64)
    return Lattice(columns, rows, fit_homography(grid, at), FLAT, drawn=False)
