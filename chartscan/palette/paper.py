"""The paper between the fields of a card: how light falls on it, and what white looks like."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import ciede2000, linear_to_lab, linear_to_srgb, srgb_to_lab, srgb_to_linear
from chartscan.palette.fields import Fields, Pixels, sample
from chartscan.reading.lattice.model import Lattice

Array = NDArray[np.float64]

_LUMINANCE = np.array([0.212671, 0.715160, 0.072169])  # Y of linear sRGB (IEC 61966-2-1)


@dataclass(frozen=True)
class PaperSettings:
    """When what lies between the fields is taken for paper.

    Attributes:
        samples: sample points a side over a whole cell.
        rim: width of the part of a cell, from each edge, that is searched, in cells; thread is
            looked for in the middle and may well reach into it.
        lightest: share of the rim that is taken for paper where it is the lightest; a label in
            ink, a line of the grid and the edge of a field lie in the rest.
        as_light: and all that has this share of its light belongs to it, so that noise doesn't
            make the paper lighter than it is.
        agree: largest departure from the smooth light, natural logarithm of linear light; 0.03 is
            three steps of an 8-bit picture where it is light.
        majority: share of the cells that must agree.
        unlike: ΔE00 between rim and field that tells paper from fields without a gap, in half of
            the cells.
        end: sRGB level from which paper is at the end of the picture's scale and tells nothing
            of the cast.
        lightness: least CIELAB lightness of the paper as seen; a dark mount is no white.
        white: CIELAB of the paper where nothing else is known, D65: white coated paper on white
            backing (ISO 12647-2 paper types, from memory).
    """

    samples: int = 48
    rim: float = 0.15
    lightest: float = 0.2
    as_light: float = 0.85
    agree: float = 0.03
    majority: float = 0.7
    unlike: float = 5.0
    end: float = 254.0
    lightness: float = 50.0
    white: tuple[float, float, float] = (95.0, 0.0, -2.0)


@dataclass(frozen=True)
class Paper:
    """The paper of a card, and the light on each field relative to its mean.

    Attributes:
        rgb: sRGB 0..255 of the paper as seen under the mean light, shape (3,).
        light: relative linear light on each field, shape (n, 3), geometric mean 1 over the card.
    """

    rgb: Array
    light: Array

    @property
    def unevenness(self) -> float:
        """Most light on a field over least, in the channel where they differ most."""
        return float((self.light.max(axis=0) / self.light.min(axis=0)).max())

    def even(self, rgb: Array) -> Array:
        """The fields' sRGB ``rgb`` (n, 3) as they would look under the mean light."""
        return linear_to_srgb(srgb_to_linear(rgb) / self.light)


def find_paper(
    pixels: Pixels, lattice: Lattice, fields: Fields, settings: PaperSettings = PaperSettings()
) -> Paper | None:
    """The paper between the fields; None where the fields touch or what is there isn't paper.

    The light is a polynomial over the card, of second degree where there are enough cells, fitted
    to the logarithm of linear light; cells whose rim disagrees (a label, a thread end) are left
    out. ``fields`` are those of the card, and after them spots beside it.
    """
    if not _rim_is_inside(pixels, lattice):
        return None
    card = slice(lattice.columns * lattice.rows)
    rim = _rims(pixels, lattice, fields.places[card], settings)
    unlike = ciede2000(srgb_to_lab(rim), srgb_to_lab(fields.rgb[card])) > settings.unlike
    if unlike.mean() < 0.5 or (rim <= 0).any():
        return None
    every = _terms(fields.places, lattice)
    terms = every[card]
    log_light = np.log(srgb_to_linear(rim))
    agree = np.ones(len(rim), dtype=bool)
    coefficients = np.zeros((terms.shape[1], 3))
    for _ in range(10):
        coefficients[:] = np.linalg.lstsq(terms[agree], log_light[agree], rcond=None)[0]
        departure = np.abs(log_light - terms @ coefficients).max(axis=1)
        limit = max(settings.agree, float(np.quantile(departure, settings.majority)))
        nearer = departure <= limit
        if (nearer == agree).all():
            break
        agree = nearer
    if departure[agree].max() > settings.agree:
        return None
    mean = (terms @ coefficients).mean(axis=0)
    rgb = linear_to_srgb(np.exp(mean))
    if linear_to_lab(np.exp(mean))[0] < settings.lightness:
        return None
    return Paper(rgb, np.exp(every @ coefficients - mean))


def _rim_is_inside(pixels: Pixels, lattice: Lattice) -> bool:
    corners = np.array(
        [[0, 0], [lattice.columns, 0], [lattice.columns, lattice.rows], [0, lattice.rows]]
    )
    at = lattice.to_pixels(corners.astype(np.float64))
    height, width = pixels.shape[:2]
    return bool((at >= 0).all() and (at < (width, height)).all())


def _rims(pixels: Pixels, lattice: Lattice, places: Array, settings: PaperSettings) -> Array:
    """Median sRGB of what may be paper in each cell's rim, shape (n, 3)."""
    samples = sample(pixels, lattice, places, 1.0, settings.samples)
    steps = (np.arange(settings.samples) + 0.5) / settings.samples
    edge = np.minimum(steps, 1 - steps) < settings.rim
    rims = samples[:, edge[:, None] | edge]
    return np.array([_lightest(rim, settings) for rim in rims])


def _lightest(rim: Pixels, settings: PaperSettings) -> Array:
    """Median of the samples (n, 3) that are about as light as the lightest share of them."""
    light = srgb_to_linear(rim) @ _LUMINANCE
    lightest = np.median(light[light >= np.quantile(light, 1 - settings.lightest)])
    median: Array = np.median(rim[light >= settings.as_light * lightest], axis=0)
    return median


def _terms(places: Array, lattice: Lattice) -> Array:
    """Polynomial terms of each place, as many as a third of the fields bear: 6, 3 or 1.

    Places beside the card count as at its edge: no paper tells of the light out there.
    """
    x = np.clip(places[:, 0] / lattice.columns * 2 - 1, -1, 1)
    y = np.clip(places[:, 1] / lattice.rows * 2 - 1, -1, 1)
    terms = np.stack([np.ones_like(x), x, y, x * y, x * x, y * y], axis=-1)
    enough = min(lattice.columns, lattice.rows) >= 3
    cells = lattice.columns * lattice.rows
    count = 6 if enough and cells >= 18 else 3 if min(lattice.columns, lattice.rows) >= 2 else 1
    result: Array = terms[:, :count]
    return result
