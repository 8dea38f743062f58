"""Where neighbouring pixels differ on sampled rows, and which of those edges run on.

Edges are kept as bits, eight pixels to the byte: looking for long runs then costs next to nothing.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Bits = NDArray[np.uint8]
Bytes = NDArray[np.uint8]

RINGING = 5  # resampling rings to a fifth of a step, at most, within three pixels of it
BLOCK = 48  # rows looked at in one go: stays in the cache
PROBED = 24  # rows that the usual step is taken from
NOISY = 4  # an edge stands that many times above the usual step of the page
LEAST_LOSSY = 6  # levels; smaller steps on a page of lossy coding are the coding's own
SIDE, GAP = 0.75, 0.25  # pitches: length of an edge that is a cell's side, and its longest gap


LAST_BIT = 7  # of a byte


@dataclass(frozen=True)
class Edges:
    """Where neighbouring pixels differ along one axis, on sampled rows.

    Attributes:
        on: bit x of row i is set where pixels x and x + 1 of sampled row i differ most nearby;
            shape (sampled rows, bytes).
        stride: pixels between sampled rows.
        length: pixels along the axis.
        across: pixels of the page the other way.
        lossless: whether the smallest step means something.
    """

    on: Bits
    stride: int
    length: int
    across: int
    lossless: bool = True

    @property
    def size(self) -> int:
        """How many pairs of pixels were looked at."""
        return len(self.on) * (self.length - 1)

    def fewer(self, rows: int) -> Edges:
        """The same on about ``rows`` of the sampled rows, evenly spread."""
        times = max(1, len(self.on) // rows)
        return replace(self, on=self.on[(times - 1) // 2 :: times], stride=times * self.stride)

    def runs(self, run: float, gap: float, *, wide: bool = False) -> Bits:
        """The edges that run on for ``run`` px, gaps of up to ``gap`` px bridged.

        Dashes and the crossings with lines of the other direction leave gaps. With ``wide``, an
        edge may waver between two neighbouring pixels, as those of soft lines do.
        """
        # A gap of n samples is up to n + 1 strides of pixels long.
        samples = int(gap / self.stride) - (self.stride > 1)
        samples = max(samples, int(self.stride == 1))
        bridged = ~opened(~(_widened(self.on) if wide else self.on), samples + 1)
        need = round(run) if self.stride == 1 else int(run / self.stride)
        return opened(bridged, max(1, need))

    def sides(self, pitch: float) -> Bits:
        """The edges that run on as sides of cells of ``pitch`` px do; strokes are shorter."""
        return self.runs(SIDE * pitch, GAP * pitch + 1)

    def unpacked(self, bits: Bits) -> NDArray[np.bool_]:
        """One truth value a pixel, shape (sampled rows, length − 1)."""
        return np.unpackbits(bits, axis=1, count=self.length - 1).view(np.bool_)

    def cover(self, bits: Bits) -> NDArray[np.float64]:
        """How many sampled rows have an edge at each place, shape (length − 1,)."""
        total = np.zeros(self.length - 1, dtype=np.float64)
        for first in range(0, len(bits), 255):  # as many as a byte can count
            part = np.unpackbits(bits[first : first + 255], axis=1, count=self.length - 1)
            total += np.add.reduce(part, axis=0, dtype=np.uint8)
        return total


def find_edges(pixels: Bytes, sampled: int, *, lossless: bool = True) -> Edges:
    """Edges across the x axis of ``pixels`` (height, width, 3); swap the axes for y.

    Args:
        pixels: sRGB.
        sampled: about how many rows to look at, evenly over the height.
        lossless: whether the smallest step means something.
    """
    height, width, _ = pixels.shape
    stride = max(1, height // sampled)
    seen = pixels[stride // 2 :: stride]
    steps = _steps_along(seen) if seen.strides[1] < seen.strides[0] else _steps_down(seen)
    probe = steps[:: max(1, len(steps) // PROBED)]
    counts = np.cumsum(np.bincount(probe.ravel(), minlength=256))
    typical = int(np.searchsorted(counts, (counts[-1] + 1) // 2))
    least = min(255, max(1 if lossless else LEAST_LOSSY, NOISY * typical))
    packed = [
        np.packbits(_peaks(steps[top : top + BLOCK], least), axis=1)
        for top in range(0, len(steps), BLOCK)
    ]
    return Edges(np.concatenate(packed), stride, width, height, lossless)


def _steps_along(rows: Bytes) -> Bytes:
    """Difference of neighbouring pixels in the worst channel: (n, width, 3) → (n, width − 1)."""
    steps = np.empty((len(rows), rows.shape[1] - 1), dtype=np.uint8)
    for top in range(0, len(rows), BLOCK):
        flat = rows[top : top + BLOCK].reshape(-1, 3 * rows.shape[1])
        apart = _apart(flat[:, 3:], flat[:, :-3])
        steps[top : top + BLOCK] = _worst(apart[:, channel::3] for channel in range(3))
    return steps


def _steps_down(rows: Bytes) -> Bytes:
    """The same of rows that run down the page in memory, as those of swapped axes do.

    A channel at a time, and across all rows: transposing steps moves a third of what pixels are.
    """
    steps = np.empty((len(rows), rows.shape[1] - 1), dtype=np.uint8)
    for left in range(0, steps.shape[1], BLOCK):
        planes = (
            rows[:, left : left + BLOCK + 1, channel].T.copy(order="C") for channel in range(3)
        )
        worst = _worst(_apart(plane[1:], plane[:-1]) for plane in planes)
        steps[:, left : left + BLOCK] = worst.T
    return steps


def _apart(one: Bytes, other: Bytes) -> Bytes:
    """How many levels two are apart, each at its place."""
    apart: Bytes = np.maximum(one, other)
    apart -= np.minimum(one, other)
    return apart


def _worst(channels: Iterable[Bytes]) -> Bytes:
    """The greatest of the channels at each place."""
    return functools.reduce(np.maximum, channels)


def _peaks(step: Bytes, least: int) -> NDArray[np.bool_]:
    """Steps of at least ``least`` that stand out among those within three pixels.

    Of a soft edge spread over several pixels only the steepest counts.
    """
    on = step >= least
    wide = np.pad(step, ((0, 0), (3, 3)))
    two = np.maximum(wide[:, :-1], wide[:, 1:])
    four = np.maximum(two[:, :-2], two[:, 2:])
    most = np.maximum(four[:, :-3], four[:, 3:])
    most -= most > 0
    on &= step > most // RINGING
    on[:, 1:] &= step[:, 1:] >= step[:, :-1]
    on[:, :-1] &= step[:, :-1] >= step[:, 1:]
    return on


def _widened(bits: Bits) -> Bits:
    """Each bit or that before it."""
    wide: Bits = bits | np.right_shift(bits, 1)
    wide[:, 1:] |= np.left_shift(bits[:, :-1], LAST_BIT)
    return wide


def opened(bits: Bits, need: int) -> Bits:
    """Only the runs of at least ``need`` set bits along axis 0 (binary opening)."""
    height = len(bits)
    if need <= 1:
        return bits
    if height < need:
        return np.zeros_like(bits)
    kept, done = bits, 1
    while done < need:  # bit i of ``kept``: the ``done`` bits from i on are all set
        more = min(done, need - done)
        kept = kept[:-more] & kept[more:]
        done += more
    done = 1
    while done < need:
        more = min(done, need - done)
        wider = np.zeros((len(kept) + more, bits.shape[1]), dtype=np.uint8)
        wider[:-more] = kept
        wider[more:] |= kept
        kept, done = wider, done + more
    return kept
