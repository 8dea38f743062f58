"""Where one ink is on the page, as lines along the grid would meet it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from chartscan.reading.marks.fills import Mask
from chartscan.reading.marks.inks import Ink

Floats = NDArray[np.float64]

Number = TypeVar("Number", np.uint8, np.float32)

_BORDER = 2
"""Samples outside the grid that count as its border."""


@dataclass(frozen=True)
class LineSettings:
    """What counts as a run of backstitch, lengths in cells.

    Attributes:
        reach: longest straight run looked for at once; longer ones are joined from pieces.
        ink: coverage, 0..1, from which on a point is on the ink.
        gap: longest break in a run.
        broken: greatest share of points off the ink.
        seen: least share of a run's points that must show the ink, not be hidden.
        fresh: length that a run must add to the runs found before it.
        told: share of the ink of a run's last piece, from which on other runs tell it.
        width: greatest width of a line.
        rail: samples inside the edge of the line at which the ink must also be found, on both
            sides of a run: one beside the true run would leave the ink.
        railed: share of the run's length over which it must be found there.
        end: how far from its end point the ink of a run may stop.
        nodes: most end points taken per ink; more is no line drawing.
        shift: least and greatest number of samples that all of an ink's lines may lie beside the
            grid: whoever rounds a line to whole pixels rounds to one side.
        phased: how plainly the ink must keep to the grid for that to be told, 0..1.
        agreed: the same where all inks agree, both ways.
    """

    reach: float = 30.0
    ink: float = 0.28
    gap: float = 0.1
    broken: float = 0.03
    seen: float = 0.22
    fresh: float = 0.12
    told: float = 0.85
    width: float = 0.5
    rail: float = 1.2
    railed: float = 0.85
    end: float = 0.12
    nodes: int = 12000
    shift: tuple[float, float] = (0.3, 1.5)
    phased: float = 0.15
    agreed: float = 0.1


@dataclass(frozen=True, eq=False)
class Field:
    """Points between samples: 0 bare, 1 hidden, 2 ink; shape (height + 1, width + 1).

    ``shift`` is where the lines lie beside the grid, (x, y) in samples.
    """

    state: NDArray[np.uint8]
    side: int
    shift: NDArray[np.float64]

    def place(self, points: NDArray[np.float64] | NDArray[np.int32]) -> NDArray[np.float64]:
        """``points`` (…, 2) in half cells as x and y in samples."""
        samples: NDArray[np.float64] = points * (self.side / 2) + self.shift
        return samples

    def at(self, points: NDArray[np.float64] | NDArray[np.int32]) -> NDArray[np.uint8]:
        """State at ``points`` (…, 2), x and y in half cells; outside the grid 3.

        Just outside, where ``shift`` may put a line along the border, it is that of the border.
        """
        return self.where(points[..., 0], points[..., 1])

    def where(
        self, x: NDArray[np.float64] | NDArray[np.int32], y: NDArray[np.float64] | NDArray[np.int32]
    ) -> NDArray[np.uint8]:
        """The same, each of ``x`` and ``y`` by itself: half the work for many points."""
        framed = self._framed
        row, column = (
            self._beside_frame(at, shift, length)
            for at, shift, length in zip((y, x), self.shift[::-1], framed.shape, strict=True)
        )
        row *= framed.shape[1]
        row += column
        return framed.ravel().take(row.astype(np.intp))

    def along(self, ends: NDArray[np.int32], parts: NDArray[np.float64]) -> NDArray[np.uint8]:
        """State at some ``parts`` (0..1) of the way along segments within the grid.

        ``ends`` are x0, y0, x1, y1 in half cells, shape (n, 4); the result is (n, parts).
        """
        framed = self._framed
        start, end = (self.place(each) + (0.5 + _BORDER + 1) for each in np.hsplit(ends, 2))
        way = end - start
        x, y = ((start[:, k, None] + way[:, k, None] * parts).astype(np.intp) for k in (0, 1))
        y *= framed.shape[1]
        y += x
        return framed.ravel().take(y)

    @cached_property
    def _framed(self) -> NDArray[np.uint8]:
        """The state with its border repeated just outside, and 3 once all around."""
        wide = np.pad(self.state, _BORDER, mode="edge")
        return np.pad(wide, 1, constant_values=3)

    def _beside_frame(
        self, at: NDArray[np.float64] | NDArray[np.int32], shift: float, length: int
    ) -> NDArray[np.float64]:
        """The whole places along one side of the frame, ``length`` long, of half cells ``at``."""
        place = np.asarray(at * (self.side / 2), dtype=np.float64)
        place += shift
        place += 0.5
        np.floor(place, out=place)
        place += _BORDER + 1
        return np.clip(place, 0, length - 1, out=place)


def lay_field(ink: Ink, covered: Mask, side: int, settings: LineSettings, common: Floats) -> Field:
    """Coverage averaged over the four samples around each point, edges repeated."""
    bare = np.where(covered, 0, ink.cover)
    inked = _around(bare)
    unseen = _around((ink.hidden | covered).view(np.uint8))
    least = 4 * settings.ink
    state = (inked + unseen >= least).view(np.uint8)
    state += inked >= least
    own = np.array([_own_shift(bare.sum(axis=axis), side, settings) for axis in (0, 1)])
    return Field(state, side, np.where(np.isnan(own), common, own))


def _around(samples: NDArray[Number]) -> NDArray[Number]:
    """The sum of the four samples around each point between them, edges repeated."""
    wide = np.pad(samples, 1, mode="edge")
    return wide[:-1, :-1] + wide[1:, :-1] + wide[:-1, 1:] + wide[1:, 1:]


def common_shift(inks: Sequence[Ink], covered: Mask, side: int, settings: LineSettings) -> Floats:
    """Where the lines of all ``inks`` together lie beside the grid, (x, y) in samples.

    0 unless they tell the same shift both ways, as whoever rounds both alike makes them do.
    """
    if not inks:
        return np.zeros(2)
    cover = np.where(covered, 0, sum(ink.cover for ink in inks))
    (x, plain_x), (y, plain_y) = (_phase(cover.sum(axis=axis), side) for axis in (0, 1))
    plain = min(plain_x, plain_y) >= settings.agreed
    low, high = settings.shift
    alike = abs(x - y) <= low and low <= abs(x + y) / 2 <= high
    return np.array([x, y]) if plain and alike else np.zeros(2)


def _phase(profile: NDArray[np.floating], side: int) -> tuple[float, float]:
    """Samples from the half positions to the lines that run along them, and how plainly, 0..1.

    The phase of the wave of half a cell; lines at other angles, and knots, add to all alike.
    """
    at = np.exp(4j * np.pi * (np.arange(len(profile)) + 0.5) / side)
    wave = (profile * at).sum() / max(float(profile.sum()), 1e-9)
    return float(np.angle(wave)) * side / (4 * np.pi), float(abs(wave))


def _own_shift(profile: NDArray[np.floating], side: int, settings: LineSettings) -> float:
    """The shift that one ink tells; NaN where it isn't plain."""
    (shift, plain), (low, high) = _phase(profile, side), settings.shift
    found = shift if low <= abs(shift) <= high else 0.0
    return found if plain >= settings.phased else float("nan")
