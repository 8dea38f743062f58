"""Which free pieces of fabric serve a project, and what is still to buy."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from chartscan.palette.fabric_colour import COUNT_TOLERANCE
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed


class OwnedPiece(NamedTuple):
    """A piece of fabric as it is chosen by.

    Attributes:
        stock: its number in the ledger.
        label: its own number or name.
        per_inch: fabric threads per inch, its count.
        colour: the colour's name in lower case.
        width_mm: one side.
        height_mm: the other.
        meant: number of the planned project that it was bought for, or None.
    """

    stock: int
    label: str
    per_inch: float
    colour: str
    width_mm: int
    height_mm: int
    meant: int | None

    @property
    def area(self) -> int:
        """Area in mm²."""
        return self.width_mm * self.height_mm


@dataclass(frozen=True)
class FabricFit:
    """How a fabric need is met.

    Attributes:
        need: what is to be cut.
        pieces: labels of the pieces to cut it from, those in the bag first.
        new: the stock ids of those of them that aren't set apart yet.
        lack: how many of the pieces wanted none of them yields.
    """

    need: FabricNeed
    pieces: tuple[str, ...]
    new: tuple[int, ...]
    lack: int


def yield_of(size_mm: tuple[int, int], cut_mm: tuple[int, int]) -> int:
    """How many rectangles of ``cut_mm`` one piece gives, all laid the same way round."""
    (width, height), (w, h) = size_mm, cut_mm
    return max((width // w) * (height // h), (width // h) * (height // w))


@dataclass(frozen=True)
class FreePieces:
    """What is free of some fabrics, smallest first, and which of it was chosen already."""

    pieces: Sequence[OwnedPiece]
    taken: set[int] = field(default_factory=set)
    _suiting: dict[tuple[float, str], list[OwnedPiece]] = field(default_factory=dict)

    def suiting(self, need: FabricNeed) -> list[OwnedPiece]:
        """The pieces of the count and colour that a need asks for, smallest first."""
        fabric = (need.count, need.colour.lower())
        if fabric not in self._suiting:
            self._suiting[fabric] = [p for p in self.pieces if suits(p, need)]
        return [p for p in self._suiting[fabric] if p.stock not in self.taken]


def suits(piece: OwnedPiece, need: FabricNeed) -> bool:
    """Whether a piece is of the count and colour that a need asks for."""
    return abs(piece.per_inch - need.count) <= COUNT_TOLERANCE and (
        not need.colour or piece.colour == need.colour.lower()
    )


def load_free(ledger: Ledger, needs: Iterable[FabricNeed]) -> FreePieces:
    """The free pieces that may serve ``needs``: right count and colour, large enough for one."""
    least: dict[tuple[float, str], tuple[int, int]] = {}
    for need in needs:
        fabric = (need.count, need.colour.lower())
        short, long = sorted((need.width_mm, need.height_mm))
        before = least.get(fabric, (short, long))
        least[fabric] = (min(before[0], short), min(before[1], long))
    wanted = [
        {
            "low": count - COUNT_TOLERANCE,
            "high": count + COUNT_TOLERANCE,
            "colour": colour,
            "short": short,
            "long": long,
        }
        for (count, colour), (short, long) in least.items()
    ]
    rows = ledger.rows(
        "SELECT DISTINCT p.stock, p.label, p.count, lower(p.colour), p.width_mm, p.height_mm, m.id"
        " FROM json_each(?) w JOIN pieces p"
        "  ON p.count BETWEEN json_extract(w.value, '$.low') AND json_extract(w.value, '$.high')"
        "  AND json_extract(w.value, '$.colour') IN ('', lower(p.colour))"
        "  AND min(p.width_mm, p.height_mm) >= json_extract(w.value, '$.short')"
        "  AND max(p.width_mm, p.height_mm) >= json_extract(w.value, '$.long')"
        " JOIN balances b ON b.stock = p.stock AND b.owned > b.promised"
        " LEFT JOIN projects m ON m.id = p.meant_for AND m.state = 'planned'"
        " ORDER BY p.width_mm * p.height_mm, p.stock",
        (json.dumps(wanted),),
    )
    return FreePieces([OwnedPiece(*row) for row in rows])


def load_held(ledger: Ledger, projects: Sequence[int]) -> dict[int, list[OwnedPiece]]:
    """The pieces that some projects have set apart, by the project's number."""
    held: dict[int, list[OwnedPiece]] = {project: [] for project in projects}
    for project, *piece in ledger.rows(
        "SELECT h.project, p.stock, p.label, p.count, lower(p.colour), p.width_mm, p.height_mm,"
        " NULL FROM holdings h JOIN pieces p ON p.stock = h.stock"
        " WHERE h.project IN (SELECT value FROM json_each(?))"
        " ORDER BY p.width_mm * p.height_mm, p.stock",
        (json.dumps(list(projects)),),
    ):
        held[project].append(OwnedPiece(*piece))
    return held


def fit_fabric(
    project: int, needs: Sequence[FabricNeed], held: Sequence[OwnedPiece], free: FreePieces
) -> list[FabricFit]:
    """Choose pieces for each need in turn: those in the bag, then as few and small as will do.

    What was bought for this project comes after what is meant for nobody, and what was bought for
    another planned project comes last.

    Args:
        project: the project's number.
        needs: what is to be cut.
        held: the pieces that the project has set apart.
        free: the pieces that are promised to nobody; those chosen are marked as taken.
    """
    fits: list[FabricFit] = []
    for need in needs:
        there = free.suiting(need)
        pools = (
            [p for p in held if suits(p, need) and p.stock not in free.taken],
            [p for p in there if p.meant is None],
            [p for p in there if p.meant == project],
            [p for p in there if p.meant not in (None, project)],
        )
        rest = need.pieces
        chosen: list[OwnedPiece] = []
        for pool in pools:
            some, rest = _choose(pool, need, rest)
            chosen += some
        free.taken.update(p.stock for p in chosen)
        new = tuple(p.stock for p in chosen if p not in held)
        fits.append(FabricFit(need, tuple(p.label for p in chosen), new, rest))
    return fits


def _choose(
    pieces: Sequence[OwnedPiece], need: FabricNeed, wanted: int
) -> tuple[list[OwnedPiece], int]:
    """The pieces to take of some that lie smallest first, and how many cuts are wanted then."""
    cut = (need.width_mm, need.height_mm)
    chosen: list[OwnedPiece] = []
    while wanted > 0:
        best, most = None, 0
        for piece in pieces:
            if piece in chosen:
                continue
            number = yield_of((piece.width_mm, piece.height_mm), cut)
            if number > most:
                best, most = piece, number
            if number >= wanted:
                break
        if best is None:
            break
        chosen.append(best)
        wanted -= most
    return chosen, max(0, wanted)
