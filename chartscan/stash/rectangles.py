"""Rectangles of fabric cut from a piece along the weave: how many it gives, and what is left."""

from __future__ import annotations

from collections.abc import Iterator

Size = tuple[int, int]
"""Width and height in mm."""

WORTH_KEEPING_MM = 100
"""An offcut narrower than this is thrown away; 100 mm holds a small ornament with its margins.
Common practice, no source."""


def yield_of(size_mm: Size, cut_mm: Size) -> int:
    """How many rectangles of ``cut_mm`` one piece gives, all laid the same way round."""
    (width, height), (w, h) = size_mm, cut_mm
    return max((width // w) * (height // h), (width // h) * (height // w))


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
