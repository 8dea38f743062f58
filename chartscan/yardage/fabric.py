"""Fabric: sizes, margins, what fits on a piece, and the strands that suit a count."""

from __future__ import annotations

import math
from dataclasses import dataclass

from chartscan.cloth import COARSEST, FINEST
from chartscan.errors import YardageError
from chartscan.yardage.requirement import MM_PER_INCH, Fabric

# Margin on each side by kind of finishing, in mm: common practice, no source.
MARGINS = {"framed": 75.0, "hoop": 75.0, "cushion": 50.0, "card": 40.0, "ornament": 30.0}
HOOP_MARGIN_MM = 50.0  # below that no hoop closes round the design; common practice, no source

HOOP_MM = 250.0  # the largest hoop that is handy; common practice, no source
SHRINKAGE = 0.05  # of cotton and linen in the first wash; common practice, no source
FINE_COUNT = 25.0  # from that on over one only without part stitches; common practice, no source
SQUARENESS = 0.02  # warp and weft that differ less don't show; an assumption, no source

# Strands of stranded cotton by stitches per inch: up to the first figure, so many strands.
# Common practice, no source.
STRANDS_BY_PITCH = ((9.0, 4), (12.0, 3), (18.5, 2), (math.inf, 1))


def make_fabric(count: float, over: int = 1, count_down: float | None = None) -> Fabric:
    """A :class:`Fabric`; YardageError where count or over make none."""
    for value in (count, count if count_down is None else count_down):
        if not (math.isfinite(value) and COARSEST <= value <= FINEST):
            raise YardageError(
                f"a fabric count of {value:g} makes no cloth; give threads per inch, 14 or 28 say"
            )
    if not 1 <= over <= 20:
        raise YardageError(f"a stitch over {over} threads can't be worked; give 1 or 2 as a rule")
    return Fabric(count, over, count_down)


def stitches_per_inch(fabric: Fabric) -> tuple[float, float]:
    """Stitches per inch across and down."""
    across, down = fabric.cell_mm
    return MM_PER_INCH / across, MM_PER_INCH / down


def usual_strands(fabric: Fabric) -> int:
    """Strands of stranded cotton that cover a full cross on ``fabric`` by common practice."""
    pitch = stitches_per_inch(fabric)[0]
    return next(strands for limit, strands in STRANDS_BY_PITCH if pitch <= limit)


def finished_size(columns: int, rows: int, fabric: Fabric) -> tuple[float, float]:
    """Width and height of ``columns`` × ``rows`` stitches in mm.

    Finished inches = stitches / (count / threads crossed).
    """
    across, down = fabric.cell_mm
    return columns * across, rows * down


def cut_size(finished_mm: tuple[float, float], margin_mm: float) -> tuple[float, float]:
    """Width and height to cut in mm: the margin goes on each side."""
    if margin_mm < 0 or not math.isfinite(margin_mm):
        raise YardageError(f"a margin of {margin_mm:g} mm makes no sense; give 0 or more")
    return finished_mm[0] + 2 * margin_mm, finished_mm[1] + 2 * margin_mm


@dataclass(frozen=True)
class Fit:
    """How many copies come out of a piece, laid straight in rows.

    Attributes:
        copies: how many fit, the better way round.
        turned: whether the copies lie turned by a quarter, so that the warp runs across them.
        across: copies side by side.
        down: copies below each other.
        spare_mm: cloth left at the right and at the bottom; negative where none fits.
    """

    copies: int
    turned: bool
    across: int
    down: int
    spare_mm: tuple[float, float]


def fits(piece_mm: tuple[float, float], cut_mm: tuple[float, float]) -> Fit:
    """How many pieces of ``cut_mm`` come out of ``piece_mm``, straight or all turned.

    Raises:
        YardageError: the piece has no size.
    """
    if not all(math.isfinite(side) and side > 0 for side in piece_mm):
        raise YardageError("a piece of fabric has a width and a height over 0")
    straight, turned = _grid(piece_mm, cut_mm, False), _grid(piece_mm, cut_mm[::-1], True)
    return turned if turned.copies > straight.copies else straight


@dataclass(frozen=True)
class Sheet:
    """One piece of cloth for several copies, laid straight in rows.

    Attributes:
        across: copies side by side.
        down: copies below each other; the last row may be short.
        size_mm: width and height of the piece.
    """

    across: int
    down: int
    size_mm: tuple[float, float]


def sheet_for(copies: int, cut_mm: tuple[float, float]) -> Sheet:
    """The piece with the shortest edge all round that holds ``copies`` of ``cut_mm``.

    Of those equally short the one with the least cloth.
    """
    sheets = [
        Sheet(across, down, (across * cut_mm[0], down * cut_mm[1]))
        for across in range(1, copies + 1)
        for down in (math.ceil(copies / across),)
    ]
    return min(sheets, key=lambda s: (round(sum(s.size_mm), 6), math.prod(s.size_mm)))


def _grid(piece_mm: tuple[float, float], cut_mm: tuple[float, float], turned: bool) -> Fit:
    slack = 1e-6  # a piece cut to exactly the size fits
    across, down = (int((p + slack) // c) for p, c in zip(piece_mm, cut_mm, strict=True))
    spare = (piece_mm[0] - max(across, 1) * cut_mm[0], piece_mm[1] - max(down, 1) * cut_mm[1])
    return Fit(across * down, turned, across, down, spare)


def cautions(
    fabric: Fabric, finished_mm: tuple[float, float], margin_mm: float, *, parts: bool
) -> tuple[str, ...]:
    """What to mind about this fabric, size and margin, a line each; () where there is nothing."""
    lines = []
    if margin_mm < HOOP_MARGIN_MM:
        lines.append(
            f"a margin of {margin_mm:.0f} mm is too narrow for a hoop; work in the hand, or cut"
            " more and trim later"
        )
    elif max(finished_mm) > HOOP_MM:
        lines.append(
            "the design is larger than a hoop: take the hoop off after each sitting, it leaves"
            " creases and crushes stitches"
        )
    if margin_mm < SHRINKAGE * max(finished_mm):
        lines.append(
            f"cloth may shrink by up to {100 * SHRINKAGE:.0f} % in its first wash, more than this"
            " margin has to spare; wash it before you cut, or cut more"
        )
    if parts and fabric.over == 1 and fabric.count >= FINE_COUNT:
        lines.append("part stitches can hardly be worked over one thread; round them to wholes")
    across, down = stitches_per_inch(fabric)
    if abs(across / down - 1) > SQUARENESS:
        share = abs(across / down - 1) * 100
        lines.append(f"the weave isn't square: the design comes out {share:.0f} % off its shape")
    return tuple(lines)
