"""Which free pieces of fabric serve a project, and what is still to buy."""

from __future__ import annotations

import json
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from chartscan.cloth import COUNT_TOLERANCE
from chartscan.plaintext import text_key
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed
from chartscan.stash.rectangles import WORTH_KEEPING_MM, cut_block, yield_of


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
        left_by: name of the project that leaves it over once its own fabric is cut; "" for a whole
            piece.
    """

    stock: int
    label: str
    per_inch: float
    colour: str
    width_mm: int
    height_mm: int
    meant: int | None
    left_by: str = ""

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
        offcuts: pieces by their label, with the project whose fabric is to be cut from each first.
    """

    need: FabricNeed
    pieces: tuple[str, ...]
    new: tuple[int, ...]
    lack: int
    offcuts: tuple[tuple[str, str], ...] = ()


Meant = dict[int | None, list[OwnedPiece]]


@dataclass(frozen=True)
class FreePieces:
    """What is free of some fabrics, smallest first, which was chosen, and what that leaves."""

    pieces: Sequence[OwnedPiece]
    taken: set[int] = field(default_factory=set)
    offcuts: list[OwnedPiece] = field(default_factory=list)
    _suiting: dict[tuple[float, str], Meant] = field(default_factory=dict)

    def pools(self, need: FabricNeed, project: int, name: str = "") -> list[list[OwnedPiece]]:
        """The pieces that suit a need, smallest first, in the order in which to take them.

        First those meant for nobody, what was left over among them, then those meant for
        ``project``, then for others. What the project of that ``name`` leaves isn't for itself.
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
        left = [p for p in self.offcuts if suits(p, need) and p.left_by != name]
        anybodys = sorted([*meant.get(None, []), *left], key=lambda p: (p.area, p.stock))
        return [anybodys, meant.get(project, []), others]

    def has(self, piece: OwnedPiece) -> bool:
        """Whether a piece, or what is left of one, wasn't chosen yet."""
        return piece in self.offcuts if piece.left_by else piece.stock not in self.taken

    def take(self, piece: OwnedPiece) -> None:
        """Mark a piece as chosen."""
        if piece.left_by:
            self.offcuts.remove(piece)
        else:
            self.taken.add(piece.stock)

    def leave(self, piece: OwnedPiece, need: FabricNeed, number: int, project: str) -> None:
        """Offer what is left of a chosen piece once ``number`` of a need are cut from it."""
        size, cut = (piece.width_mm, piece.height_mm), (need.width_mm, need.height_mm)
        for width, height in cut_block(size, cut, number)[1]:
            if min(width, height) >= WORTH_KEEPING_MM:
                rest = piece._replace(width_mm=width, height_mm=height, meant=None, left_by=project)
                self.offcuts.append(rest)


def suits(piece: OwnedPiece, need: FabricNeed) -> bool:
    """Whether a piece is of the count and colour that a need asks for."""
    return abs(piece.per_inch - need.count) <= COUNT_TOLERANCE and (
        not need.colour or piece.colour == text_key(need.colour)
    )


def fabric_needs(ledger: Ledger, projects: Sequence[int]) -> dict[int, list[FabricNeed]]:
    """The fabric that some projects need, one entry per size, by the project's number."""
    needs: dict[int, list[FabricNeed]] = {project: [] for project in projects}
    for project, count, colour, width, height, pieces in ledger.rows(
        "SELECT project, count, colour, width_mm, height_mm, sum(pieces) FROM fabric_needs"
        " WHERE project IN (SELECT value FROM json_each(?))"
        " GROUP BY project, count, colour, width_mm, height_mm"
        " ORDER BY width_mm * height_mm DESC",
        (json.dumps(list(projects)),),
    ):
        needs[project].append(FabricNeed(count, width, height, pieces, colour))
    return needs


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


def left_over(ledger: Ledger) -> list[OwnedPiece]:
    """What projects that aren't begun leave of the pieces in their bags once those are cut."""
    holders = {
        int(row["id"]): str(row["name"])
        for row in ledger.rows(
            "SELECT DISTINCT j.id, j.name FROM holdings h JOIN pieces p ON p.stock = h.stock"
            " JOIN projects j ON j.id = h.project WHERE j.state IN ('planned', 'kitted')"
            " ORDER BY j.id"
        )
    }
    held, needs = load_held(ledger, list(holders)), fabric_needs(ledger, list(holders))
    left: list[OwnedPiece] = []
    for project, name in holders.items():
        bag = FreePieces(held[project])
        fit_fabric(project, needs[project], (), bag, name=name, leaves=True)
        left += bag.offcuts
    return left


def fit_fabric(
    project: int,
    needs: Sequence[FabricNeed],
    held: Sequence[OwnedPiece],
    free: FreePieces,
    *,
    name: str = "",
    leaves: bool = False,
) -> list[FabricFit]:
    """Choose pieces for each need in turn: those in the bag, then as few and small as will do.

    What was bought for this project comes after what is meant for nobody, and what was bought for
    another planned project comes last.

    Args:
        project: the project's number.
        needs: what is to be cut.
        held: the pieces that the project has set apart.
        free: the pieces that are promised to nobody; those chosen are marked as taken.
        name: the project's name; what it leaves itself isn't offered to it.
        leaves: whether others may have what it leaves of free pieces; else they go into its bag
            whole.
    """
    fits: list[FabricFit] = []
    for need in needs:
        rest = need.pieces
        chosen: list[OwnedPiece] = []
        for pool in ([p for p in held if suits(p, need)], *free.pools(need, project, name)):
            while rest > 0 and (best := _best(pool, need, rest, free)):
                piece, number = best
                chosen.append(piece)
                free.take(piece)
                if leaves and piece not in held:
                    free.leave(piece, need, min(rest, number), name)
                rest -= number
        labels = tuple(piece.label for piece in chosen)
        new = tuple(p.stock for p in chosen if p not in held and not p.left_by)
        offcuts = tuple((p.label, p.left_by) for p in chosen if p.left_by)
        fits.append(FabricFit(need, labels, new, max(0, rest), offcuts))
    return fits


def _best(
    pieces: Sequence[OwnedPiece], need: FabricNeed, wanted: int, free: FreePieces
) -> tuple[OwnedPiece, int] | None:
    """The smallest piece that yields all that is wanted, else the one that yields most; None: none.

    ``pieces`` lie smallest first.
    """
    cut = (need.width_mm, need.height_mm)
    best: tuple[OwnedPiece, int] | None = None
    for piece in pieces[bisect_left(pieces, cut[0] * cut[1], key=lambda p: p.area) :]:
        number = yield_of((piece.width_mm, piece.height_mm), cut)
        if number > (best[1] if best else 0) and free.has(piece):
            best = (piece, number)
            if number >= wanted:
                break
    return best
