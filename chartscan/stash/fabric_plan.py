"""Which free pieces of fabric serve a project, and what is still to buy."""

from __future__ import annotations

import json
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from chartscan.cloth import COUNT_TOLERANCE
from chartscan.plaintext import text_key
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


Meant = dict[int | None, list[OwnedPiece]]


@dataclass(frozen=True)
class FreePieces:
    """What is free of some fabrics, smallest first, and which of it was chosen already."""

    pieces: Sequence[OwnedPiece]
    taken: set[int] = field(default_factory=set)
    _suiting: dict[tuple[float, str], Meant] = field(default_factory=dict)

    def pools(self, need: FabricNeed, project: int) -> list[list[OwnedPiece]]:
        """The pieces that suit a need, smallest first, in the order in which to take them.

        First those meant for nobody, then those meant for ``project``, then for others.
        """
        fabric = (need.count, text_key(need.colour))
        if fabric not in self._suiting:
            meant: Meant = defaultdict(list)
            for piece in self.pieces:
                if suits(piece, need):
                    meant[piece.meant].append(piece)
            self._suiting[fabric] = meant
        meant = self._suiting[fabric]
        others = [
            p for whose, those in meant.items() if whose not in (None, project) for p in those
        ]
        others.sort(key=lambda piece: (piece.area, piece.stock))
        return [meant.get(None, []), meant.get(project, []), others]


def suits(piece: OwnedPiece, need: FabricNeed) -> bool:
    """Whether a piece is of the count and colour that a need asks for."""
    return abs(piece.per_inch - need.count) <= COUNT_TOLERANCE and (
        not need.colour or piece.colour == text_key(need.colour)
    )


def load_free(ledger: Ledger, needs: Iterable[FabricNeed]) -> FreePieces:
    """The free pieces that may serve ``needs``: right count and colour, large enough for one."""
    least: dict[tuple[float, str], tuple[int, int]] = {}
    for need in needs:
        fabric = (need.count, text_key(need.colour))
        short, long = sorted((need.width_mm, need.height_mm))
        before = least.get(fabric, (short, long))
        least[fabric] = (min(before[0], short), min(before[1], long))
    found: dict[int, OwnedPiece] = {}  # by stock: two fabrics may both ask for one piece
    for (count, colour), (short, long) in least.items():
        rows = ledger.rows(
            "SELECT p.stock, p.label, p.count, text_key(p.colour), p.width_mm, p.height_mm, m.id"
            " FROM pieces p JOIN balances b ON b.stock = p.stock AND b.owned > b.promised"
            " LEFT JOIN projects m ON m.id = p.meant_for AND m.state = 'planned'"
            " WHERE p.count BETWEEN ? AND ? AND ? IN ('', text_key(p.colour))"
            " AND min(p.width_mm, p.height_mm) >= ? AND max(p.width_mm, p.height_mm) >= ?",
            (count - COUNT_TOLERANCE, count + COUNT_TOLERANCE, colour, short, long),
        )
        found.update((row[0], OwnedPiece(*row)) for row in rows)
    return FreePieces(sorted(found.values(), key=lambda piece: (piece.area, piece.stock)))


def load_held(ledger: Ledger, projects: Sequence[int]) -> dict[int, list[OwnedPiece]]:
    """The pieces that some projects have set apart, by the project's number."""
    held: dict[int, list[OwnedPiece]] = {project: [] for project in projects}
    for project, *piece in ledger.rows(
        "SELECT h.project, p.stock, p.label, p.count, text_key(p.colour), p.width_mm, p.height_mm,"
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
        rest = need.pieces
        chosen: list[OwnedPiece] = []
        for pool in ([p for p in held if suits(p, need)], *free.pools(need, project)):
            while rest > 0 and (best := _best(pool, need, rest, free.taken)):
                piece, number = best
                chosen.append(piece)
                free.taken.add(piece.stock)
                rest -= number
        new = tuple(piece.stock for piece in chosen if piece not in held)
        fits.append(FabricFit(need, tuple(p.label for p in chosen), new, max(0, rest)))
    return fits


def _best(
    pieces: Sequence[OwnedPiece], need: FabricNeed, wanted: int, taken: Collection[int]
) -> tuple[OwnedPiece, int] | None:
    """The smallest piece that yields all that is wanted, else the one that yields most; None: none.

    ``pieces`` lie smallest first.
    """
    cut = (need.width_mm, need.height_mm)
    best: tuple[OwnedPiece, int] | None = None
    for piece in pieces[bisect_left(pieces, cut[0] * cut[1], key=lambda p: p.area) :]:
        number = yield_of((piece.width_mm, piece.height_mm), cut)
        if number > (best[1] if best else 0) and piece.stock not in taken:
            best = (piece, number)
            if number >= wanted:
                break
    return best
