"""Which free pieces of fabric serve a project, and what is still to buy."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from chartscan.palette.fabric_colour import COUNT_TOLERANCE
from chartscan.stash.needs import FabricNeed


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


def suits(row: sqlite3.Row, need: FabricNeed) -> bool:
    """Whether a piece is of the count and colour that a need asks for."""
    return abs(row["count"] - need.count) <= COUNT_TOLERANCE and (
        not need.colour or row["colour"].lower() == need.colour.lower()
    )


def fit_fabric(
    needs: Sequence[FabricNeed], held: Sequence[sqlite3.Row], free: Sequence[sqlite3.Row]
) -> list[FabricFit]:
    """Choose pieces for each need in turn: those in the bag, then as few and small as will do.

    Args:
        needs: what is to be cut.
        held: rows of the pieces that the project has set apart.
        free: rows of the pieces that are promised to nobody.
    """
    taken: set[int] = set()
    fits: list[FabricFit] = []
    for need in needs:
        rest = need.pieces
        chosen: list[sqlite3.Row] = []
        for pool in (held, free):
            there = [r for r in pool if r["stock"] not in taken and suits(r, need)]
            some, rest = _choose(there, need, rest)
            chosen += some
            taken |= {row["stock"] for row in some}
        mine = {row["stock"] for row in held}
        fits.append(
            FabricFit(
                need,
                tuple(row["label"] for row in chosen),
                tuple(row["stock"] for row in chosen if row["stock"] not in mine),
                rest,
            )
        )
    return fits


def _choose(
    rows: Sequence[sqlite3.Row], need: FabricNeed, wanted: int
) -> tuple[list[sqlite3.Row], int]:
    """The pieces to take, and how many cuts are still wanted then."""
    cut = (need.width_mm, need.height_mm)
    yields = [(yield_of((r["width_mm"], r["height_mm"]), cut), r) for r in rows]
    left = sorted(
        ((n, r) for n, r in yields if n), key=lambda nr: nr[1]["width_mm"] * nr[1]["height_mm"]
    )
    chosen: list[sqlite3.Row] = []
    while wanted > 0 and left:
        enough = [pair for pair in left if pair[0] >= wanted]
        pair = enough[0] if enough else max(left, key=lambda nr: nr[0])
        left.remove(pair)
        chosen.append(pair[1])
        wanted -= pair[0]
    return chosen, max(0, wanted)
