"""The colour of each field of a card of threads: robust against texture, shine and gaps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import ciede2000, linear_to_lab, linear_to_srgb, srgb_to_linear
from chartscan.errors import GridError
from chartscan.reading.lattice.model import Lattice

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]

_LUMINANCE = np.array([0.212671, 0.715160, 0.072169])  # Y of linear sRGB (IEC 61966-2-1)
_TO_SIGMA = 1.4826  # median absolute deviation to standard deviation, for normal noise


@dataclass(frozen=True)
class FieldSettings:
    """How a field is looked at.

    Attributes:
        inner: part of its width and height that is used, in the middle; at 0.4, thread that covers
            half of its field (with a label below, say) may lie a twentieth off the grid.
        spot: width of what is looked at around a reference beside the card, in fields.
        samples: sample points a side; 48 by 48 are enough to average noise out and quick.
        clip: samples farther from the median lightness than this many standard deviations are
            shine or gaps; 2.5 leaves out one in eighty of plain noise.
        least_pixels: width in pixels under which the inner part holds too little thread.
        texture_pixels: pixels of thread looked at under which texture, shine and gaps don't even
            out: of 24 drawn cards (seeds 52001 to 52024, gaps to 18 %, shine to 0.2) those with
            more came out at ΔE00 0.5 or less on the mean and 1.0 at worst, those with less at up to
            1.2 and 2.7.
        blocks: blocks a side over which unevenness is judged.
        uneven: largest spread, ΔE00, of a usable field; the mean of nine blocks that are 3 apart is
            still sure to about 1.
        kept: smallest share of samples that may be left once shine and gaps are out; under a half
            nobody can say which part is the thread.
        clipped: largest share of samples at 255 in a channel; what is there may be lighter still.
    """

    inner: float = 0.4
    spot: float = 0.25
    samples: int = 48
    clip: float = 2.5
    least_pixels: float = 4.0
    texture_pixels: float = 200.0
    blocks: int = 3
    uneven: float = 3.0
    kept: float = 0.5
    clipped: float = 0.5

    def __post_init__(self) -> None:
        if not 0 < self.inner <= 1 or self.samples < self.blocks or self.blocks < 2:
            raise ValueError("inner lies in 0..1; samples are at least blocks, blocks at least 2")


@dataclass(frozen=True, eq=False)
class Fields:
    """What was seen in each field, row by row from the top left.

    Attributes:
        rgb: sRGB 0..255, not rounded, shape (n, 3).
        spread: root mean square ΔE00 of the blocks from the field's colour, shape (n,).
        trouble: why each field can't be used, or "".
        over_exposed: which fields are at the end of the picture's scale, shape (n,).
        places: (column, row) of the middle of each field, in fields, shape (n, 2).
    """

    rgb: Array
    spread: Array
    trouble: tuple[str, ...]
    over_exposed: NDArray[np.bool_]
    places: Array

    def and_also(self, others: Fields) -> Fields:
        """These, and after them the others."""
        return Fields(
            np.concatenate([self.rgb, others.rgb]),
            np.concatenate([self.spread, others.spread]),
            self.trouble + others.trouble,
            np.concatenate([self.over_exposed, others.over_exposed]),
            np.concatenate([self.places, others.places]),
        )


def look_at_fields(
    pixels: Pixels, lattice: Lattice, settings: FieldSettings = FieldSettings()
) -> Fields:
    """The robust colour of every cell of ``lattice`` on a page of sRGB ``pixels`` (h, w, 3).

    Raises:
        GridError: a field lies outside the picture, or is too small.
    """
    if min(lattice.pitch) * settings.inner < settings.least_pixels:
        width = min(lattice.pitch)
        raise GridError(
            f"the fields of the card are only {width:.0f} pixels wide; "
            "scan it at a higher resolution or go nearer"
        )
    column, row = np.meshgrid(np.arange(lattice.columns), np.arange(lattice.rows))
    places = np.stack([column.ravel() + 0.5, row.ravel() + 0.5], axis=-1)
    return _look_at(pixels, lattice, places, settings.inner, settings)


def coarse(lattice: Lattice, settings: FieldSettings = FieldSettings()) -> str:
    """That fields hold too few pixels of thread to be sure of, in words; "" for nothing."""
    across, down = lattice.pitch
    seen = across * down * settings.inner**2
    if seen >= settings.texture_pixels:
        return ""
    wider = math.ceil(math.sqrt(settings.texture_pixels) / settings.inner)
    return (
        f"only {seen:.0f} pixels of each thread are looked at, which is coarse: dark, shiny and"
        f" loosely wound ones may be off by ΔE 2 and more; scan at a higher resolution, until a"
        f" field is {wider} pixels wide"
    )


def look_at_spots(
    pixels: Pixels,
    lattice: Lattice,
    spots: Sequence[tuple[float, float]],
    settings: FieldSettings = FieldSettings(),
) -> Fields:
    """The robust colour around ``spots`` (x, y in pixels), the patches of a colour target, say.

    Raises:
        GridError: a spot lies outside the picture.
    """
    places = lattice.to_cells(np.array(spots, dtype=np.float64))
    return _look_at(pixels, lattice, places, settings.spot, settings)


def _look_at(
    pixels: Pixels, lattice: Lattice, places: Array, extent: float, settings: FieldSettings
) -> Fields:
    samples = sample(pixels, lattice, places, extent, settings.samples)
    seen = [_look(field, settings) for field in samples]
    rgb, spread, kept = (np.array(part) for part in zip(*seen, strict=True))
    trouble = tuple(_trouble(*field, settings) for field in zip(spread, kept, strict=True))
    clipped = (samples == 255).any(axis=-1).mean(axis=(1, 2))
    return Fields(rgb, spread, trouble, clipped > settings.clipped, places)


def sample(pixels: Pixels, lattice: Lattice, places: Array, extent: float, count: int) -> Pixels:
    """Pixels at ``count`` × ``count`` points of a square ``extent`` cells wide around each place.

    Shape (n, count, count, 3), rows first.

    Raises:
        GridError: a place lies outside the picture.
    """
    steps = (np.arange(count) + 0.5) / count - 0.5
    offsets = np.stack(np.meshgrid(steps, steps), axis=-1) * extent
    points = np.floor(lattice.to_pixels(places[:, None, None] + offsets)).astype(np.intp)
    height, width = pixels.shape[:2]
    if points.min() < 0 or points[..., 0].max() >= width or points[..., 1].max() >= height:
        raise GridError(
            f"the card or a reference lies beyond the picture ({width}×{height} pixels); "
            "show the whole card, and tell where its corners are"
        )
    taken: Pixels = pixels[points[..., 1], points[..., 0]]
    return taken


def _look(samples: Pixels, settings: FieldSettings) -> tuple[Array, float, float]:
    """Colour (3,), spread and share kept of one field's samples (rows, columns, 3)."""
    linear = srgb_to_linear(samples)
    lightness = np.cbrt(linear @ _LUMINANCE)
    kept = _neither_shine_nor_gap(lightness, settings.clip)
    colour = _middle(linear[kept])
    lab = linear_to_lab(colour)
    apart = []
    for rows in np.array_split(np.arange(len(samples)), settings.blocks):
        for columns in np.array_split(np.arange(len(samples)), settings.blocks):
            block = np.ix_(rows, columns)
            # Shine and gaps of a block are told by the block: a light corner isn't shine.
            own = _neither_shine_nor_gap(lightness[block], settings.clip)
            part = _middle(linear[block][own])
            apart.append(float(ciede2000(linear_to_lab(part), lab)))
    spread = float(np.sqrt(np.mean(np.square(apart))))
    return linear_to_srgb(colour), spread, float(kept.mean())


def _trouble(spread: float, kept: float, settings: FieldSettings) -> str:
    if kept < settings.kept:
        return f"only {kept:.0%} of it looks alike"
    if spread > settings.uneven:
        return f"uneven: its parts differ by ΔE00 {spread:.1f}"
    return ""


def _neither_shine_nor_gap(lightness: Array, clip: float) -> NDArray[np.bool_]:
    """Samples near the median lightness, found by clipping outliers until none is left."""
    kept = np.ones(lightness.shape, dtype=bool)
    for _ in range(10):
        middle = np.median(lightness[kept])
        sigma = _TO_SIGMA * np.median(np.abs(lightness[kept] - middle))
        fewer = np.abs(lightness - middle) <= max(clip * sigma, 1e-3)
        if (fewer == kept).all():
            break
        kept = fewer
    return kept


def _middle(linear: Array) -> Array:
    """Mean of the middle third of the samples (n, 3), each channel for itself.

    Nearly a median, so that it doesn't matter whether noise is even in light or in the picture's
    levels, but not bound to whole levels.
    """
    ordered = np.sort(linear, axis=0)
    third = len(ordered) // 3
    mean: Array = ordered[third : len(ordered) - third].mean(axis=0)
    return mean
