"""The numbers by which lattices are judged: how they are looked at, and what each term weighs.

The weights are fitted by ``tests/fitting/lattice_terms.py``: a multinomial logistic regression over
each page's candidates, right, wrong and none. They come from 84 drawn pages, seeds 640001 to
640012: scans and photographs, mild to hard, marks on scans, worn pages stitched all over, plates,
and small grids among text. Fitted on either half of them, the true lattice won over some 60 others
on 80 of the 84 in the other, and none on 167 of 168 without a grid, half of them bare or speckled.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class VerifySettings:
    """How a lattice is judged.

    Attributes:
        pitch: px per cell, about, of the page made smaller that is looked at.
        around: cells all round the lattice that are looked at too.
        lower: of the places along a side, the one from below that counts: a stroke that
            covers only part of a side is no line.
        edges: bounds of the graded evidence of a side, in octaves over what is beside.
        odds: log-odds of a line in each interval between them, in nats.
        off: the same of a side off the page.
        whole: part of a cell that must lie on the page for its sides to tell.
        part: the same of the rows just beyond the lattice.
        weak: part of the lines that are its weakest.
        few: cells by which what isn't in every cell may repeat.
        faint: levels (0..255) of a wave that tell nothing, on either side.
        weights: nats a unit of each term, in the order of :data:`TERMS`.
        middles, spreads: mean and standard deviation of each term, by which it is scaled.
        bias: nats of a lattice whose terms all lie at their means.
    """

    pitch: float = 12.0
    around: int = 4
    lower: int = 2
    edges: tuple[float, ...] = (
        -1.2, -0.8, -0.5, -0.25, -0.1, 0.1, 0.25, 0.5, 0.8, 1.2, 1.7, 2.3, 3.0,
    )  # fmt: skip
    odds: tuple[float, ...] = (
        -4.29, -2.81, -1.98, -1.4, -0.99, -0.74, -0.6, -0.61, -0.48, -0.12, 0.49, 0.92, 1.29,
        1.86,
    )  # fmt: skip
    off: float = -0.5
    whole: float = 0.9
    part: float = 0.5
    weak: float = 0.1
    few: tuple[int, ...] = (2, 3, 4)
    faint: float = 0.2
    weights: tuple[float, ...] = (
        0.98, 1.011, 0.677, 2.246, 1.013, -1.216, 1.571, 1.001, -0.425, -1.981, 1.503, -1.203,
        -1.239, 0.215, -1.209, 0.771, 0.254, 0.84, 0.554,
    )  # fmt: skip
    middles: tuple[float, ...] = (
        -0.302, -1.036, -22.948, -0.914, -0.625, 0.118, -0.329, 0.453, 0.31, -0.162, -0.734,
        0.516, -0.982, -1.291, -1.249, -0.76, 0.215, 6.505, 0.407,
    )  # fmt: skip
    spreads: tuple[float, ...] = (
        1.134, 1.508, 72.327, 1.107, 0.779, 0.96, 0.69, 1.109, 1.159, 0.628, 0.703, 1.004,
        1.262, 1.183, 1.21, 1.538, 1.565, 1.806, 0.219,
    )  # fmt: skip
    bias: float = -11.52


TERMS = (
    "mean",  # of all sides, in nats
    "weak",  # the weakest tenth of the lines
    "whole",  # root of the sum over all sides
    "frame",  # outermost line less the usual one, of the worst side
    "inside",  # crossing lines in the outermost row less the usual row, of the worst side
    "outside",  # crossing lines in the row beyond less the usual row, of the worst side
    "ends",  # how much less is seen beyond than inside, of the worst side and of all
    "all ends",
    "beyond",  # the next line beyond less the usual one, of the worst side
    "activity",  # of the page beyond less that within, in octaves, of the worst side
    "idle",  # of the outermost row less that within, of the worst side
    "parity",  # odd lines against even ones
    "halves",  # lines midway between lines, the stronger way and the weaker
    "both halves",
    "thirds",  # lines a third between lines, the stronger way
    "wave",  # what every cell repeats beside what every few do, the weaker way and the stronger
    "other wave",
    "cells",  # ln of their number
    "share",  # of the page, without what lies beyond it
)
