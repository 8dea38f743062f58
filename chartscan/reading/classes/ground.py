"""Which class of cells is bare fabric: odds from what speaks for each, and for none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import srgb_to_lab
from chartscan.reading.classes.cloth import WHITE, Cloth
from chartscan.reading.classes.usual import GREY

Colours = NDArray[np.float64]
Labels = NDArray[np.intp]


INKED = 0.4  # part of the most ink of a page from which on a class surely carries a symbol
CLEARLY = 0.5  # part of the next least ink that the least has at most, where it is clearly less
FAINT = 0.1  # the same up to which nothing is printed in it at all
DARKER, COLOUR = 40.0, 25.0  # CIELAB units that the weights of dark, and of chroma, are of
MOST_CHROMA = 50.0  # no weight grows beyond that
LEAST_INK = 8.0  # CIELAB over the places of a cell: the faintest symbols have as much


@dataclass(frozen=True)
class GroundWeights:
    """Log odds of a class being bare fabric, against every class being stitched (nats).

    A conditional logit (D. McFadden, Conditional logit analysis of qualitative choice behavior,
    1974), fitted with a small ridge on 330 drawn charts of all kinds (seeds 70001 to 70060), 56 of
    them stitched all over, those at half weight: they are rarer in a drawer than in the sample.

    Attributes:
        bias: of any class.
        paper: that its colour is the paper's: times exp(−(ΔE/``near``)²), for the class nearest.
        sharp: the same on a page whose colours are exact, within ``exact_near``.
        unseen: as ``paper``, where white has to stand for a paper that isn't on the page, or whose
            tint no cell has: there, the grid was laid on white of its own.
        outer: times its part of the outermost cells.
        ring, full: where it holds more than ``around``, and ``all_round``, of them.
        share: times the root of its part of all cells.
        dark: times (``light`` − L)/40, where it is darker than that.
        chroma: times its CIELAB chroma/25, up to 50.
        brighter: times (L of the brightest other neutral class − its own)/25, up to 1.
        ink: times what is printed inside its cells, as a part of what is in most others.
        plain: times the part of the other classes that are printed on its very colour: where
            one ink tells the stitches, cells without it are bare.
        unlined: that it isn't the paper's colour, where no lines are drawn.
        dimmer: that the paper around it is brighter than white: the light was told by its cells,
            which aren't paper's. As ``unlined``, by likeness; too few drawn charts are so.
        keyed: that it has a swatch in the key.
        unkeyed: that it has none, where all others have one.
        near, exact_near: CIELAB differences, see ``paper`` and ``sharp``.
        light: CIELAB lightness, see ``dark``.
        around, all_round: parts of the outermost cells, see ``ring``.
        some: part of all and of the outermost cells together from which on it counts as a rival.
        same: ΔE up to which two grounds are one colour, see ``plain``.
        alone: ΔE from paper from which on the only class of a chart is stitched.
        tie: ΔE by which, on a page that isn't exact, a class may be farther from paper than the
            nearest and still be as near: light and wear make several whites of one.
    """

    bias: float = -1.31
    paper: float = 3.72
    sharp: float = 0.25
    unseen: float = 3.03
    outer: float = 3.07
    ring: float = -0.85
    full: float = 2.14
    share: float = 0.39
    dark: float = -0.21
    chroma: float = -2.73
    brighter: float = 0.08
    ink: float = -8.22
    plain: float = 3.98
    unlined: float = -2.21
    dimmer: float = -2.21
    keyed: float = -2.55
    unkeyed: float = 3.65
    near: float = 5.0
    exact_near: float = 1.5
    light: float = 85.0
    around: float = 0.85
    all_round: float = 0.97
    some: float = 0.01
    alone: float = 4.0
    same: float = 5.0
    tie: float = 2.0


TERMS = (
    "bias", "paper", "sharp", "unseen", "outer", "ring", "full", "share", "dark", "chroma",
    "brighter", "ink", "plain", "unlined", "dimmer", "keyed", "unkeyed",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class GroundOdds:
    """How likely each class is bare fabric.

    Attributes:
        chances: probability of each class, and last that every class is stitched: (n + 1,).
    """

    chances: NDArray[np.float64]

    def taken(self, least: float) -> int | None:
        """The likeliest class where its chance is ``least`` at least; None: all are stitched."""
        best = int(self.chances[:-1].argmax()) if len(self.chances) > 1 else -1
        return best if best >= 0 and self.chances[best] >= least else None


def settled_odds(bare: int | None, number: int) -> GroundOdds:
    """The odds where it is told which of ``number`` classes is bare, or that none is."""
    chances = np.zeros(number + 1)
    chances[number if bare is None else bare] = 1.0
    return GroundOdds(chances)


def ground_odds(cloth: Cloth, weights: GroundWeights = GroundWeights()) -> GroundOdds:
    """The odds of each class of being bare fabric, and of none."""
    terms = ground_terms(cloth, weights)
    score = np.append(terms @ [getattr(weights, name) for name in TERMS], 0.0)
    if len(cloth.colours) == 1 and _off_paper(cloth)[0] > weights.alone:
        score[0] = -np.inf  # a page of nothing but fabric in a colour of its own isn't a chart
    odds = np.exp(score - score.max())
    return GroundOdds(np.asarray(odds / odds.sum(), dtype=np.float64))


def ground_terms(cloth: Cloth, weights: GroundWeights = GroundWeights()) -> NDArray[np.float64]:
    """What speaks for each class, shape (n, terms), in the order of :data:`TERMS`."""
    n, lab = len(cloth.colours), srgb_to_lab(cloth.colours)
    off = _off_paper(cloth)
    share = np.bincount(cloth.labels.ravel(), minlength=n)[:n] / cloth.labels.size
    ink = _ink(cloth, lab, share, weights)
    outer = _outer(cloth.labels, n)
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    bare = ink < INKED
    nearest = off <= off[bare if bare.any() else ...].min() + _tie(cloth, weights)
    alike = np.exp(-((off / weights.near) ** 2)) * nearest
    sharp = np.exp(-((off / weights.exact_near) ** 2)) * nearest * cloth.exact
    seen = cloth.paper is not None
    white = _white(cloth, lab, bare, weights) if seen else alike
    rival = bare & (chroma < GREY) & (outer + share > weights.some)
    step = np.where(rival[None, :], lab[None, :, 0] - lab[:, :1], 0.0)
    ring = np.where(cloth.part, 0.0, outer > weights.around)
    key = np.zeros((2, n)) if cloth.swatch is None else _keyed(cloth.swatch)
    terms = (
        np.ones(n),
        alike * seen,
        sharp * seen,
        white,
        share if cloth.part else outer,
        ring,
        np.where(cloth.part, 0.0, outer > weights.all_round),
        np.sqrt(share),
        np.maximum(0, weights.light - lab[:, 0]) / DARKER,
        np.minimum(chroma, MOST_CHROMA) / COLOUR,
        np.clip(step.max(axis=1, initial=0.0), 0, COLOUR) / COLOUR,
        ink,
        _plain(lab, ink, weights, exact=cloth.exact),
        (off > weights.alone) * (seen and not cloth.drawn),
        (off > weights.alone) * _is_brighter_than_white(cloth),
        key[0],
        key[1],
    )
    return np.stack([np.broadcast_to(np.asarray(t, dtype=np.float64), (n,)) for t in terms], axis=1)


def _off_paper(cloth: Cloth) -> NDArray[np.float64]:
    """CIELAB difference of each class from the paper, or from white: (n,)."""
    paper = WHITE if cloth.paper is None else cloth.paper
    return np.asarray(
        np.linalg.norm(srgb_to_lab(cloth.colours) - srgb_to_lab(paper), axis=1), dtype=np.float64
    )


def _is_brighter_than_white(cloth: Cloth) -> bool:
    """Whether the paper around the grid is, once the light is balanced by the grid's cells."""
    return cloth.paper is not None and bool(cloth.paper.min() > WHITE.max())


def _white(
    cloth: Cloth, lab: Colours, bare: NDArray[np.bool_], weights: GroundWeights
) -> NDArray[np.float64]:
    """How near the whitest class is to white, nought for all others: (n,).

    Nought for all where the paper isn't tinted, or a class has its tint, or paper is brighter.
    """
    if _is_brighter_than_white(cloth):
        return np.zeros(len(lab))
    white = srgb_to_lab(WHITE)
    tint = float(np.linalg.norm(srgb_to_lab(WHITE if cloth.paper is None else cloth.paper) - white))
    if tint <= weights.alone or _off_paper(cloth).min() <= weights.alone or not bare.any():
        return np.zeros(len(lab))
    off = np.linalg.norm(lab - white, axis=1)
    nearest = off <= off[bare].min() + _tie(cloth, weights)
    near: NDArray[np.float64] = np.exp(-((off / weights.near) ** 2)) * nearest
    return near


def _tie(cloth: Cloth, weights: GroundWeights) -> float:
    """CIELAB difference up to which a class is as near to paper as the nearest."""
    return 0.0 if cloth.exact else weights.tie


def _ink(
    cloth: Cloth, lab: Colours, share: NDArray[np.float64], weights: GroundWeights
) -> NDArray[np.float64]:
    """What is printed inside the cells of each class, as a part of the most, 0 to 1: (n,).

    On old prints the shadows of lines fall into bare cells, too; symbols are several times darker.
    Where they are so heavy that they are a class's ground themselves, on a page in one ink, what is
    printed in the palest class is held against all that is printed in the darkest.
    """
    ink = np.asarray(cloth.ink / max(float(cloth.ink.max(initial=0.0)), LEAST_INK))
    usual = share >= weights.some
    if cloth.exact or (np.hypot(lab[:, 1], lab[:, 2])[usual] >= GREY).any():
        return ink
    palest = int(lab[:, 0].argmax())
    printed = cloth.ink + lab[palest, 0] - lab[:, 0]
    most = max(float(printed[usual].max(initial=0.0)), LEAST_INK)
    if ink[palest] >= INKED and usual[palest] and printed[palest] <= printed[usual].min():
        ink[palest] = printed[palest] / most
    return ink


def _plain(
    lab: NDArray[np.float64], ink: NDArray[np.float64], weights: GroundWeights, *, exact: bool
) -> NDArray[np.float64]:
    """For each class without ink the part of the others that are inked on its colour: (n,).

    On old prints shadows of lines, or threads, fall into every cell: there the class of clearly
    the least ink, if it is grey and one of the paler ones, stands for one without.
    """
    apart = np.linalg.norm(lab[:, None] - lab[None], axis=2)
    inked = (apart <= weights.same) & (ink >= INKED)[None, :]
    np.fill_diagonal(inked, False)  # numpy takes the value by place only
    part = (ink < INKED) * inked.sum(axis=1) / max(len(lab) - 1, 1)
    least = int(ink.argmin())
    next_ = float(np.delete(ink, least).min(initial=1.0))
    pale = lab[least, 0] >= (lab[:, 0].min() + lab[:, 0].max()) / 2
    grey = np.hypot(*lab[least, 1:]) < GREY
    if not exact and FAINT < ink[least] < max(INKED, CLEARLY * next_) and pale and grey:
        part[least] = 1.0
    return np.asarray(part, dtype=np.float64)


def _outer(labels: Labels, n: int) -> NDArray[np.float64]:
    """The part of the outermost cells that each class holds, shape (n,)."""
    ring = np.concatenate([labels[0], labels[-1], labels[1:-1, 0], labels[1:-1, -1]])
    return np.asarray(np.bincount(ring, minlength=n)[:n] / ring.size, dtype=np.float64)


def _keyed(swatch: NDArray[np.float64]) -> NDArray[np.float64]:
    """Which classes have a swatch for certain, and which is the only one that has none: (2, n)."""
    missing = swatch == 0
    return np.stack([swatch == 1, missing & (missing.sum() == 1)]).astype(np.float64)
