"""The lines of a drawn grid, told from the strokes of symbols by how far they run on.

A stroke ends within its cell; a line runs through many, and all lines of a grid are about equally
long. So whatever lies between them, the edges that run through several cells are the lines.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.axis import PITCH_RATIO, Axis, evenly_spaced, phase
from chartscan.reading.edges import Edges

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
        near: how close to its place a line must lie, in cells.
        missing: part of the lines that may be missing.
        astray: part of the long edges that may lie elsewhere.
        least_cells: fewest cells along a side.
        parts: how many cells bold lines lie apart where only they run on.
        least_pitch: px per cell at least where lines between bold ones are looked for.
    """

    run: float = 2.5
    gaps: tuple[float, ...] = (0.0, 0.12, 0.25)
    long: tuple[float, ...] = (0.9, 0.5)
    usual: float = 0.2
    near: float = 0.2
    missing: float = 0.1
    astray: float = 0.2
    least_cells: int = 5
    parts: tuple[int, ...] = (10, 5)
    least_pitch: float = 5.0


@dataclass(frozen=True)
class _Look:
    """One way of looking for lines: edges a pixel apart taken together, gaps bridged (cells)."""

    wide: bool
    gap: float


def fit_drawn(
    across: Edges, down: Edges, pitches: list[float], settings: DrawnSettings = DrawnSettings()
) -> tuple[Axis, Axis] | None:
    """The axes whose lines are drawn, the farthest apart of all ``pitches``; None without lines."""
    looks = [_Look(wide, gap) for wide in (False, True) for gap in settings.gaps]
    for look in looks:
        for pitch in sorted(pitches, reverse=True):
            axes = _both(across, down, pitch, look, settings)
            if axes is None:
                continue
            parts = [axes[0].pitch / part for part in settings.parts]
            parts = [part for part in parts if part >= settings.least_pitch]
            finer = (_both(across, down, part, each, settings) for part in parts for each in looks)
            return next((both for both in finer if both is not None), axes)
    return None


def _both(
    across: Edges, down: Edges, pitch: float, look: _Look, settings: DrawnSettings
) -> tuple[Axis, Axis] | None:
    x = _fit_lines(across, pitch, look, settings)
    y = _fit_lines(down, pitch, look, settings) if x else None
    return (x, y) if x and y and 1 / PITCH_RATIO < x.pitch / y.pitch < PITCH_RATIO else None


def _fit_lines(edges: Edges, guess: float, look: _Look, settings: DrawnSettings) -> Axis | None:
    """The drawn lines near pitch ``guess`` (px); None where the long edges aren't those."""
    runs = edges.runs(settings.run * guess, look.gap * guess + 1, wide=look.wide)
    cover = edges.cover(runs)
    usual = int(max(settings.least_cells, settings.usual * edges.length / guess))
    if usual >= cover.size:
        return None
    full = float(np.partition(cover, -usual - 1)[-usual - 1])
    if full <= 0:
        return None
    fits = (_fit_long(cover, full, long, guess, settings) for long in settings.long)
    return next((fit for fit in fits if fit is not None), None)


def _fit_long(
    cover: Profile, full: float, long: float, guess: float, settings: DrawnSettings
) -> Axis | None:
    """Lines fitted to the edges that have the part ``long`` of the ``full`` length."""
    where = np.flatnonzero(cover >= long * full)
    position = where.astype(np.float64) + 1  # an edge lies between pixels x and x + 1
    weight = np.asarray(np.minimum(cover[where], full), dtype=np.float64)
    pitch, origin = phase(position, weight, guess)
    for near in (0.35, settings.near, settings.near):
        index, inside = _nearest(position, pitch, origin, near)
        if np.unique(index[inside]).size <= settings.least_cells:
            return None
        pitch, origin = evenly_spaced(index[inside], position[inside], weight[inside])
    index, inside = _nearest(position, pitch, origin, settings.near)
    agreement = float(weight[inside].sum() / weight.sum())
    even = _present(index[inside])
    if agreement < 1 - settings.astray or even < 1 - settings.missing:
        return None
    # Both edges of a line count, the fainter one too, or its middle would be off.
    where = np.flatnonzero(cover >= min(settings.long) * full)
    position, weight = where.astype(np.float64) + 1, np.minimum(cover[where], full)
    index, inside = _nearest(position, pitch, origin, settings.near)
    pitch, origin = _through_middles(index[inside], position[inside])
    coherent = float(np.abs(np.exp(2j * np.pi * (position - origin) / pitch) @ weight))
    return Axis(origin, pitch, agreement, coherent, even)


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
        weight = (off <= max(2.5 * float(np.median(off)), 0.3)).astype(np.float64)
    if abs(pitch - round(pitch)) * float(np.ptp(lines)) < 0.5:
        pitch = float(round(pitch))
        origin = float(np.average(middle - pitch * lines, weights=weight))
    return pitch, origin


def _nearest(
    position: Profile, pitch: float, origin: float, near: float
) -> tuple[Profile, NDArray[np.bool_]]:
    """Number of the line nearest to each position, and whether it is ``near`` (cells) enough."""
    index = np.round((position - origin) / pitch)
    return index, np.abs(position - origin - index * pitch) <= max(near * pitch, 1.0)


def _present(index: Profile) -> float:
    """The part of the lines that are there, a few strays at the ends left aside."""
    lines = np.unique(index)
    stray = len(lines) // 20
    inner = lines[stray : len(lines) - stray]
    return float(len(inner) / (inner[-1] - inner[0] + 1))
