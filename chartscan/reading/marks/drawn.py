"""What is drawn over the ground: the inks, and the knots and runs of each."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import ChartClass, Knot, Line
from chartscan.colour import round_rgb
from chartscan.reading.marks.backstitch import Runs, find_runs
from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.ground import Ground
from chartscan.reading.marks.inkfield import LineSettings, common_shift
from chartscan.reading.marks.inks import Ink, InkSettings, Left, find_colours, lay_inks, see_left
from chartscan.reading.marks.knots import Dots, KnotSettings, find_dots
from chartscan.reading.marks.patches import Patches


@dataclass(frozen=True)
class DrawSettings:
    """How what is drawn is looked for.

    Attributes:
        accounted: share of an ink that the knots and runs drawn in it must account for; if they
            don't, it is no ink of marks but something else on the page.
        rounds: how often inks are looked for anew without those that were none.
        uneven: whether colours stray as on scans, so that all edges on the page seem to be inks.
        inked, body: coverage, 0..1, from which on a sample shows an ink, and samples along the
            side of a square of such that make a body, which alone counts on uneven pages.
        inks, knots, lines: settings of the steps.
    """

    accounted: float = 0.62
    rounds: int = 3
    uneven: bool = False
    inked: float = 0.5
    body: int = 3
    inks: InkSettings = field(default_factory=InkSettings)
    knots: KnotSettings = field(default_factory=KnotSettings)
    lines: LineSettings = field(default_factory=LineSettings)


@dataclass(frozen=True, eq=False)
class Drawn:
    """What is drawn in one ink, and whether that accounts for the ink."""

    ink: Ink
    dots: Dots
    runs: Runs
    sound: bool

    @property
    def body(self) -> Mask:
        """The samples that its knots and runs cover, soft edges included."""
        return self.dots.body | self.runs.body

    @property
    def empty(self) -> bool:
        """Whether nothing is drawn in it."""
        return not len(self.runs.ends) and not len(self.dots.places)


def draw_all(
    patches: Patches, ground: Ground, tolerance: float, settings: DrawSettings
) -> list[Drawn]:
    """Everything drawn in inks; colours that turn out to be none are struck off, and again.

    On uneven pages they stay, unsound: without them others would take their samples. Where all are
    struck off, nothing is drawn: on 54 drawn pages no later round found an ink then.
    """
    left = see_left(patches, ground, tolerance)
    banned = np.zeros((0, 3))
    drawn: list[Drawn] = []
    for _ in range(settings.rounds):
        colours = find_colours(patches, left, tolerance, settings.inks, banned)
        drawn = draw_in(patches, ground, left, colours, tolerance, settings)
        unsound = [d.ink.colour for d in drawn if not d.sound]
        if not unsound or settings.uneven:
            return drawn
        if len(unsound) == len(drawn):
            return []
        banned = np.vstack([banned, *unsound])
    colours = np.array([d.ink.colour for d in drawn if d.sound]).reshape(-1, 3)
    # Sound beside those that weren't; what is now left over from them tells nothing.
    return draw_in(patches, ground, left, colours, tolerance, settings)


def sound(drawn: list[Drawn]) -> list[Drawn]:
    """Those in which marks are drawn, and account for the ink."""
    return [d for d in drawn if d.sound and not d.empty]


def draw_in(
    patches: Patches,
    ground: Ground,
    left: Left,
    colours: NDArray[np.float64],
    tolerance: float,
    settings: DrawSettings,
) -> list[Drawn]:
    """The knots, then the runs, of each of the ``colours`` (n, 3), which are known to be inks."""
    inks = lay_inks(ground, left, colours, tolerance, settings.inks)
    dots = [find_dots(ink, patches.side, settings.knots) for ink in inks]
    covered = np.zeros(ground.left.shape, dtype=np.bool_)
    for dot in dots:
        covered |= dot.body
    common = common_shift(inks, covered, patches.side, settings.lines)
    drawn = []
    for ink, dot in zip(inks, dots, strict=True):
        runs = find_runs(ink, covered, patches.side, settings.lines, common)
        cover = _solid(ink.cover, settings) if settings.uneven else ink.cover
        told = float(cover[dot.body | runs.body].sum()) / max(float(cover.sum()), 1e-9)
        drawn.append(Drawn(ink, dot, runs, told >= settings.accounted))
    return drawn


def _solid(cover: NDArray[np.float32], settings: DrawSettings) -> NDArray[np.float32]:
    """The cover of an ink where it hangs together with a body.

    On uneven pages the edges of all else on the page may have its colour.
    """
    from scipy import ndimage

    inked = cover > settings.inked
    body = ndimage.binary_opening(inked, np.ones((settings.body, settings.body)))
    pieces, count = ndimage.label(inked, np.ones((3, 3)))
    kept = np.zeros(count + 1, dtype=np.bool_)
    kept[np.unique(pieces[body])] = True
    kept[0] = False
    return np.where(kept[pieces], cover, np.float32(0))


def in_chart_terms(
    drawn: list[Drawn], first: int
) -> tuple[tuple[ChartClass, ...], tuple[Line, ...], tuple[Knot, ...]]:
    """A class for the lines and one for the knots of each ink, from ``first`` on, and those."""
    classes: list[ChartClass] = []
    lines: list[Line] = []
    knots: list[Knot] = []
    for d in drawn:
        if len(d.runs.ends):
            number = first + len(classes)
            classes.append(ChartClass(number, "line", round_rgb(d.ink.colour)))
            ends = d.runs.ends.tolist()
            lines += [Line(number, ((x0, y0), (x1, y1))) for x0, y0, x1, y1 in ends]
        if len(d.dots.places):
            number = first + len(classes)
            classes.append(ChartClass(number, "knot", round_rgb(d.ink.colour)))
            knots += [Knot(number, x, y) for x, y in d.dots.places.tolist()]
    return tuple(classes), tuple(lines), tuple(knots)
