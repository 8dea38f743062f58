"""The page in one channel, smaller and smaller, and in two lights: what lattices are grown on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from PIL import Image

from chartscan.reading.coding import without_blocks
from chartscan.reading.lattice import Lattice
from chartscan.reading.page import Page
from chartscan.reading.rectified import Grey
from chartscan.reading.seeds import Seed, find_seeds

Light = Literal["luma", "brightest"]


@dataclass(frozen=True)
class ViewSettings:
    """How small the page may be made.

    Attributes:
        fine_pitch: px per cell, at most, of the reduced page that a lattice settles on; so many
            tell where lines lie to a twentieth of a cell, and more only cost time.
    """

    fine_pitch: float = 14.0


@dataclass(frozen=True)
class Views:
    """The page made smaller by a whole factor, each made once.

    Attributes:
        size: width and height of the page in px.
        grey: the page in one channel, that many times smaller.
        even: the same without what the file's coding by blocks made of it.
        seeds: where to begin on that.
    """

    size: tuple[int, int]
    grey: Callable[[int], Grey]
    even: Callable[[int], Grey]
    seeds: Callable[[int], list[Seed]]

    @staticmethod
    def at(page: Page, light: Light) -> Views:
        """Views of ``page``; nothing is worked out before it is asked for."""

        @cache
        def whole() -> Image.Image:
            if light == "luma":
                return Image.fromarray(page.pixels).convert("L")
            return Image.fromarray(page.pixels.max(axis=2))

        @cache
        def grey(factor: int) -> Grey:
            picture = whole().reduce(factor) if factor > 1 else whole()
            return np.asarray(picture)

        @cache
        def even(factor: int) -> Grey:
            return grey(factor) if factor > 1 else without_blocks(grey(1), page.coded[0])

        return Views(page.size, grey, even, cache(lambda factor: find_seeds(even(factor))))


def fine(lattice: Lattice, settings: ViewSettings = ViewSettings()) -> int:
    """How many times smaller the page may be made for the lattice's lines to stay well apart."""
    factor = 1
    while min(lattice.pitch) / factor > settings.fine_pitch:
        factor *= 2
    return factor
