"""The lines of a drawn grid, told from the strokes of symbols by how far they run on.

A stroke ends within its cell; a line runs through many, and all lines of a grid are about equally
long. So whatever lies between them, the edges that run through several cells are the lines.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.filters import median
from chartscan.reading.lattice.axis import PITCH_RATIO, Axis, evenly_spaced, phase
from chartscan.reading.lattice.edges import Edges
from chartscan.reading.scale import BOLD, IN_BOLD, LEAST_CELLS, LEAST_IN_BOLD, NEAR, ROUGHLY_NEAR

TYPICAL, LEAST_OFF = 2.5, 0.3  # × the median of what lines are off by; px it is at least
PIXEL = 0.51  # px that a line may be off by where lines lie on whole pixels, and a hair
DRIFT = 1.5  # px that whole pixels may come to over the whole length
STRAY = 20  # lines of which one may be a stray at either end
CLOSE = 1.0  # px from its place within which a line may always lie
LEAST_HIT = 0.6  # part of the lines that must lie on whole pixels

Profile = NDArray[np.float64]


@dataclass(frozen=True)
class DrawnSettings:
    """What makes lines drawn ones.

    Attributes:
        run: how far an edge must run on, in cells; symbols end within one.
        gaps: longest gap in a line that is bridged, in cells, tried in turn: where another line
            crosses, and where lines are dashed.
        long: part of the usual length that a line must reach, tried in turn.
        usual: the line whose length is the usual one: that at this part of as many lines as would
            fill the page, longest first.
        whole: part of the grid's height, or width, that the usual line runs through.
        crossing: longest gap in edges as long as a cell, in px, where another line crosses.
        phased: how far these must be in phase with the lines, 0 to 1.
        missing: part of the lines that may be missing.
        astray: part of the long edges that may lie elsewhere.
    """

    run: float = 2.5
    gaps: tuple[float, ...] = (0.0, 0.12, 0.25)
    long: tuple[float, ...] = (0.9, 0.5)
    usual: float = 0.2
    whole: float = 0.6
    crossing: float = 2.0
    phased: float = 0.2
    missing: float = 0.1
    astray: float = 0.2


@dataclass(frozen=True)
class _Look:
    """One way of looking for lines: edges a pixel apart taken together, gaps bridged (cells)."""

    wide: bool
    gap: float


def fit_drawn(
    across: Edges, down: Edges, pitches: list[float], settings: DrawnSettings = DrawnSettings()
) -> tuple[Axis, Axis] | None:
    """The axes whose lines are drawn, the farthest apart of all ``pitches``; None without lines."""
    soft = (False, True) if across.lossless else (False,)  # resampled, but not scanned
    looks = [_Look(wide, gap) for wide in soft for gap in settings.gaps]
    axes = _first(across, down, pitches, looks, settings)
    if axes is None:
        return None
    return _dashed(across, down, axes, looks, settings) or axes


def _first(
    across: Edges,
    down: Edges,
    pitches: list[float],
    looks: list[_Look],
    settings: DrawnSettings,
) -> tuple[Axis, Axis] | None:
    """The axes seen by the first of the looks that shows any, the farthest apart of them."""
    for look in looks:
        for pitch in sorted(pitches, reverse=True):
            axes = _both(across, down, pitch, look, settings)
            if axes is not None:
                return axes
    return None


def _dashed(
    across: Edges,
    down: Edges,
    axes: tuple[Axis, Axis],
    looks: list[_Look],
    settings: DrawnSettings,
) -> tuple[Axis, Axis] | None:
    """The dashed lines between bold ones, where only the bold ones run on unbroken."""
    for part in BOLD:
        pitch = axes[0].pitch / part
        if pitch < LEAST_IN_BOLD or off_lines(across, axes[0], pitch) < IN_BOLD:
            continue
        finer = _first(across, down, [pitch], looks, settings)
        if finer is not None:
            return finer
    return None


def off_lines(edges: Edges, axis: Axis, pitch: float) -> float:
    """The part of the edges, as long as the sides of cells of ``pitch`` px, not on lines."""
    cover = edges.cover(edges.sides(pitch))
    position = np.arange(cover.size) + 1.0 - axis.origin
    off = np.abs(position - axis.pitch * np.round(position / axis.pitch)) > 0.5 * pitch
    return float(cover[off].sum() / max(1.0, float(cover.sum())))


def _both(
    across: Edges, down: Edges, pitch: float, look: _Look, settings: DrawnSettings
) -> tuple[Axis, Axis] | None:
    x = _fit_lines(across, pitch, look, settings)
    y = _fit_lines(down, pitch, look, settings) if x else None
    if not x or not y or not 1 / PITCH_RATIO < x.axis.pitch / y.axis.pitch < PITCH_RATIO:
        return None
    # Lines that lie aslant, or bend, leave each row and column of pixels soon.
    whole = x.length >= settings.whole * y.span and y.length >= settings.whole * x.span
    sure = whole and all(
        _in_phase(edges, lines.axis, settings) for edges, lines in ((across, x), (down, y))
    )
    return (x.axis, y.axis) if sure else None


def _in_phase(edges: Edges, axis: Axis, settings: DrawnSettings) -> bool:
    """Whether edges as long as a cell, gaps hardly bridged, are mostly those of the lines."""
    cover = edges.cover(edges.runs(axis.pitch, settings.crossing))
    position = np.arange(cover.size) + 1.0
    turn = np.exp(2j * np.pi * (position - axis.origin) / axis.pitch)
    return float(np.real(turn @ cover)) > settings.phased * float(cover.sum())


@dataclass(frozen=True)
class _Lines:
    """Lines along one axis: how long they usually are, and from the first to the last, in px."""

    axis: Axis
    length: float
    span: float


def _fit_lines(edges: Edges, guess: float, look: _Look, settings: DrawnSettings) -> _Lines | None:
    """The drawn lines near pitch ``guess`` (px); None where the long edges aren't those."""
    runs = edges.runs(settings.run * guess, look.gap * guess + 1, wide=look.wide)
    cover = edges.cover(runs)
    usual = int(max(LEAST_CELLS, settings.usual * edges.length / guess))
    if usual >= cover.size:
        return None
    full = float(np.partition(cover, -usual - 1)[-usual - 1])
    if full <= 0:
        return None
    for long in settings.long:
        fit = _fit_long(cover, full, long, guess, settings)
        if fit is not None:
            axis, span = fit
            # An edge that may waver counts for the next pixel too.
            moved = replace(axis, origin=axis.origin - 0.5) if look.wide else axis
            return _Lines(moved, full * edges.stride, span)
    return None


def _fit_long(
    cover: Profile, full: float, long: float, guess: float, settings: DrawnSettings
) -> tuple[Axis, float] | None:
    """Lines fitted to the edges of the part ``long`` of the ``full`` length, and their span."""
    where = np.flatnonzero(cover >= long * full)
    position = where.astype(np.float64) + 1  # an edge lies between pixels x and x + 1
    weight = np.asarray(np.minimum(cover[where], full), dtype=np.float64)
    pitch, origin = phase(position, weight, guess)
    for near in (ROUGHLY_NEAR, NEAR, NEAR):
        index, inside = _nearest(position, pitch, origin, near)
        if _distinct(index[inside]).size <= LEAST_CELLS:
            return None
        pitch, origin = evenly_spaced(index[inside], position[inside], weight[inside])
    index, inside = _nearest(position, pitch, origin, NEAR)
    agreement = float(weight[inside].sum() / weight.sum())
    lines = _without_strays(index[inside])
    span = float(lines[-1] - lines[0])
    even = len(lines) / (span + 1)
    if agreement < 1 - settings.astray or even < 1 - settings.missing:
        return None
    # Both edges of a line count, the fainter one too, or its middle would be off.
    where = np.flatnonzero(cover >= min(settings.long) * full)
    position, weight = where.astype(np.float64) + 1, np.minimum(cover[where], full)
    index, inside = _nearest(position, pitch, origin, NEAR)
    pitch, origin = _through_middles(index[inside], position[inside])
    coherent = float(np.abs(np.exp(2j * np.pi * (position - origin) / pitch) @ weight))
    return Axis(origin, pitch, agreement, coherent, even, drawn=True), span * pitch


def _through_middles(index: Profile, position: Profile) -> tuple[float, float]:
    """Pitch and origin of the lines through the middles of drawn ones.

    A frame, bold lines, and lines whose one edge is hidden by a fill may lie aside: they are left
    out. Most exports have cells of whole pixels.
    """
    lines, where = np.unique(index, return_inverse=True)
    low, high = np.full(len(lines), np.inf), np.full(len(lines), -np.inf)
    np.minimum.at(low, where, position)
    np.maximum.at(high, where, position)
    middle, weight = (low + high) / 2, np.ones(len(lines))
    for _ in range(3):
        pitch, origin = evenly_spaced(lines, middle, weight)
        off = np.abs(middle - origin - pitch * lines)
        weight = (off <= max(TYPICAL * float(median(off)), LEAST_OFF)).astype(np.float64)
    whole = float(round(pitch))
    start = middle - whole * lines
    hit = np.abs(start - median(start)) <= PIXEL
    near = abs(pitch - whole) * float(np.ptp(lines)) < DRIFT
    if near and hit.mean() >= max(LEAST_HIT, float((off <= PIXEL).mean())):
        return whole, float(start[hit].mean())
    return pitch, origin


def _nearest(
    position: Profile, pitch: float, origin: float, near: float
) -> tuple[Profile, NDArray[np.bool_]]:
    """Number of the line nearest to each position, and whether it is ``near`` (cells) enough."""
    index = np.round((position - origin) / pitch)
    return index, np.abs(position - origin - index * pitch) <= max(near * pitch, CLOSE)


def _distinct(index: Profile) -> Profile:
    """Each number of a rising row once; ``np.unique`` would load numpy's masked arrays for it."""
    return np.concatenate([index[:1], index[1:][index[1:] > index[:-1]]])


def _without_strays(index: Profile) -> Profile:
    """The numbers of the lines that are there, a few strays at the ends left aside."""
    lines = _distinct(index)
    stray = len(lines) // STRAY
    return lines[stray : len(lines) - stray]
