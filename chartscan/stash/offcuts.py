"""Cutting what a project needs off the pieces in its bag; the offcuts go back into the drawer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from chartscan.errors import StashError
from chartscan.stash.fabric_plan import (
    FreePieces,
    fabric_needs,
    fit_fabric,
    load_free,
    load_held,
)
from chartscan.stash.fabrics import cut_for_project
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed
from chartscan.stash.projects import find_project
from chartscan.stash.rectangles import WORTH_KEEPING_MM, Size, cut_block, yield_of


@dataclass(frozen=True)
class OffcutSettings:
    """What is done with the rest of a piece.

    Attributes:
        worth_keeping_mm: an offcut narrower than this is thrown away.
    """

    worth_keeping_mm: int = WORTH_KEEPING_MM


class Rect(NamedTuple):
    """A rectangle on a piece, in mm from its top left corner."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True)
class CutPlan:
    """How one piece is to be cut.

    Attributes:
        label: the piece.
        size_mm: its width and height.
        block_mm: the block that stays in the bag, at the top left.
        cuts: what is wanted, in rows within the block.
        kept: offcuts that go back into the drawer.
        lost: offcuts too narrow to keep.
    """

    label: str
    size_mm: Size
    block_mm: Size
    cuts: tuple[Rect, ...]
    kept: tuple[Rect, ...]
    lost: tuple[Rect, ...]

    @property
    def waste_mm2(self) -> int:
        """Area of what is too narrow to keep."""
        return sum(r.width * r.height for r in self.lost)


@dataclass(frozen=True)
class Cutting:
    """How a project's fabric is to be cut.

    Attributes:
        pieces: how each piece is cut, those in its bag first.
        to_buy: what no piece yields, with how many of it are still wanted.
    """

    pieces: tuple[CutPlan, ...]
    to_buy: tuple[FabricNeed, ...]


@dataclass(frozen=True)
class CutOut:
    """One piece that was cut.

    Attributes:
        label: the piece as it was.
        kept: label and size in mm of the block that stays in the bag.
        offcuts: labels and sizes of what went back.
        waste_mm2: area of what was too narrow to keep.
    """

    label: str
    kept: tuple[str, Size]
    offcuts: tuple[tuple[str, Size], ...]
    waste_mm2: int


def plan_cuts(ledger: Ledger, name: str, settings: OffcutSettings = OffcutSettings()) -> Cutting:
    """How a project's fabric is to be cut from the pieces in its bag, or else from free ones.

    Raises:
        StashError: no such project.
    """
    project = find_project(ledger, name)
    needs = fabric_needs(ledger, [project.id])[project.id]
    return _plan(ledger, project.id, needs, load_free(ledger, needs), settings)


def cut_out(
    ledger: Ledger, name: str, settings: OffcutSettings = OffcutSettings(), note: str = ""
) -> list[CutOut]:
    """Cut what a project needs off every piece in its bag that is larger, in one transaction.

    Raises:
        StashError: no such project, or nothing in its bag is to be cut.
    """
    with ledger.atomic():
        project = find_project(ledger, name)
        needs = fabric_needs(ledger, [project.id])[project.id]
        cutting = _plan(ledger, project.id, needs, load_free(ledger, []), settings)
        done = [
            _cut(ledger, project.id, plan, note)
            for plan in cutting.pieces
            if plan.block_mm not in (plan.size_mm, plan.size_mm[::-1])
        ]
        if not done:
            raise StashError(
                f"{name}: nothing in its bag is to be cut: no fabric is set apart yet (kit it"
                " first), or it has the size wanted"
            )
        return done


def _plan(
    ledger: Ledger,
    project: int,
    needs: Sequence[FabricNeed],
    free: FreePieces,
    settings: OffcutSettings,
) -> Cutting:
    held = load_held(ledger, [project])[project]
    sizes = {p.label: (p.width_mm, p.height_mm) for p in (*free.pieces, *held)}
    plans: list[CutPlan] = []
    fits = fit_fabric(project, list(needs), held, free)
    for fit in fits:
        rest = fit.need.pieces
        cut = (fit.need.width_mm, fit.need.height_mm)
        for label in fit.pieces:
            number = min(rest, yield_of(sizes[label], cut))
            rest -= number
            if number:
                plans.append(lay(label, sizes[label], cut, number, settings))
    to_buy = tuple(replace(fit.need, pieces=fit.lack) for fit in fits if fit.lack)
    return Cutting(tuple(plans), to_buy)


def lay(label: str, size_mm: Size, cut_mm: Size, number: int, settings: OffcutSettings) -> CutPlan:
    """Where on a piece the cuts lie, in rows from the top left corner, and what is left of it."""
    block, offcuts = cut_block(size_mm, cut_mm, number)
    right, below = (block[0], 0), (0, block[1])
    # The first offcut runs from edge to edge: down the right side, or along the bottom.
    places = (right, below) if offcuts[0] == (size_mm[0] - block[0], size_mm[1]) else (below, right)
    rests = [Rect(*at, *size) for at, size in zip(places, offcuts, strict=True) if min(size)]
    kept = [r for r in rests if min(r.width, r.height) >= settings.worth_keeping_mm]
    return CutPlan(
        label,
        size_mm,
        block,
        tuple(_rows(block, cut_mm, number)),
        tuple(kept),
        tuple(r for r in rests if r not in kept),
    )


def _rows(block: Size, cut_mm: Size, number: int) -> Iterator[Rect]:
    """The first ``number`` places of the grid of cuts that fills ``block``."""
    a, b = next(
        (a, b)
        for a, b in (cut_mm, cut_mm[::-1])
        if not (block[0] % a or block[1] % b) and (block[0] // a) * (block[1] // b) >= number
    )
    for place in range(number):
        row, column = divmod(place, block[0] // a)
        yield Rect(column * a, row * b, a, b)


def _cut(ledger: Ledger, project: int, plan: CutPlan, note: str) -> CutOut:
    sizes = [(r.width, r.height) for r in plan.kept]
    mine, back = cut_for_project(ledger, project, plan.label, [plan.block_mm], sizes, note)
    offcuts = tuple(zip(back, sizes, strict=True))
    return CutOut(plan.label, (mine[0], plan.block_mm), offcuts, plan.waste_mm2)
