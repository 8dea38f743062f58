"""Cutting what a project needs off the pieces in its bag; the offcuts go back into the drawer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from chartscan.errors import StashError
from chartscan.stash.fabric_plan import fit_fabric, load_free, load_held, yield_of
from chartscan.stash.fabrics import cut_for_project
from chartscan.stash.ledger import Ledger
from chartscan.stash.plan import fabric_needs
from chartscan.stash.projects import find_project

Size = tuple[int, int]


@dataclass(frozen=True)
class OffcutSettings:
    """What is done with the rest of a piece.

    Attributes:
        worth_keeping_mm: an offcut narrower than this is thrown away; 100 mm holds a small
            ornament with its margins. Common practice, no source.
    """

    worth_keeping_mm: int = 100


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


def cut_block(size_mm: Size, cut_mm: Size, wanted: int) -> tuple[Size, tuple[Size, Size]]:
    """The least block of a piece that holds ``wanted`` cuts in rows, and its two offcuts.

    Both cuts run along the weave from edge to edge; of the ways to lay rows and cuts that use the
    least cloth the one with the largest single offcut is taken. An offcut may have no width.

    Args:
        size_mm: width and height of the piece.
        cut_mm: width and height of each cut.
        wanted: how many; no more than the piece yields laid the same way round.
    """
    return min(_ways(size_mm, cut_mm, wanted), key=_cost)


def _ways(size_mm: Size, cut_mm: Size, wanted: int) -> Iterator[tuple[Size, tuple[Size, Size]]]:
    (width, height), (w, h) = size_mm, cut_mm
    for a, b in ((w, h), (h, w)):
        for across in range(1, min(wanted, width // a) + 1):
            block = (across * a, -(-wanted // across) * b)
            right, below = width - block[0], height - block[1]
            if below >= 0:
                yield block, ((right, height), (block[0], below))
                yield block, ((width, below), (right, block[1]))


def _cost(way: tuple[Size, tuple[Size, Size]]) -> tuple[int, int]:
    block, offcuts = way
    return block[0] * block[1], -max(width * height for width, height in offcuts)


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
        held = load_held(ledger, [project.id])[project.id]
        by_label = {piece.label: piece for piece in held}
        done: list[CutOut] = []
        for fit in fit_fabric(project.id, needs, held, load_free(ledger, [])):
            rest = fit.need.pieces
            cut = (fit.need.width_mm, fit.need.height_mm)
            for label in fit.pieces:
                size = (by_label[label].width_mm, by_label[label].height_mm)
                number = min(rest, yield_of(size, cut))
                rest -= number
                block, offcuts = cut_block(size, cut, number)
                if block not in (size, size[::-1]):
                    kept = [s for s in offcuts if min(s) >= settings.worth_keeping_mm]
                    done.append(_cut(ledger, project.id, label, size, block, kept, note))
        if not done:
            raise StashError(
                f"{name}: nothing in its bag is to be cut: no fabric is set apart yet (kit it"
                " first), or it has the size wanted"
            )
        return done


def _cut(
    ledger: Ledger, project: int, label: str, size: Size, block: Size, kept: list[Size], note: str
) -> CutOut:
    mine, back = cut_for_project(ledger, project, label, [block], kept, note)
    waste = size[0] * size[1] - sum(w * h for w, h in (block, *kept))
    return CutOut(label, (mine[0], block), tuple(zip(back, kept, strict=True)), waste)
