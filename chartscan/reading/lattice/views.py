"""The page in one channel, smaller and smaller, and in two lights: what lattices are grown on.

In luma, bright fills and symbols outshout black lines on dark colours. Where that is so, only what
is thin and dark is looked at: by how much it lies below what closes over it, in the brightest
channel.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import dataclass
from functools import cache
from itertools import tee
from typing import Literal

import numpy as np

from chartscan.reading.filters import closed
from chartscan.reading.lattice.coding import without_blocks
from chartscan.reading.lattice.contest import ContestSettings, Judges, judge_of
from chartscan.reading.lattice.grow import begin, reaches
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.periods import Repeats, repeats_of
from chartscan.reading.lattice.rectified import Grey
from chartscan.reading.lattice.seeds import Seed, find_seeds
from chartscan.reading.page.page import Page
from chartscan.reading.page.smaller import smaller

Light = Literal["luma", "lines"]


@dataclass(frozen=True)
class ViewSettings:
    """How lines are told from all else that is dark.

    Attributes:
        thin: px from which on what is dark is no line, where only lines are looked at.
    """

    thin: int = 5


@dataclass(frozen=True, eq=False)
class Views:
    """The page made smaller by a whole factor, each made once.

    Attributes:
        size: width and height of the page in px.
        rough: whether what a page lies on may show as much as its lines do.
        grey: the page in one channel, that many times smaller.
        even: the same without what the file's coding by blocks made of it.
        seeds: where to begin on that.
        begun: the lattice of a seed there, so large that the given part of it stays in step.
        repeats: what the whole page repeats by.
        judge: who judges lattices in px of the whole page.
    """

    size: tuple[int, int]
    rough: bool
    grey: Callable[[int], Grey]
    even: Callable[[int], Grey]
    seeds: Callable[[int], list[Seed]]
    begun: Callable[[int, Seed, float], Lattice]
    repeats: Callable[[], Repeats]
    judge: Callable[[ContestSettings], Judges]

    @staticmethod
    def at(page: Page, light: Light, settings: ViewSettings = ViewSettings()) -> Views:
        """Views of ``page``; nothing is worked out before it is asked for."""

        def lit(seen: Grey) -> Grey:
            return seen if light == "luma" else _thin_and_dark(seen, settings.thin)

        @cache
        def small(factor: int) -> Grey:
            if light == "luma":
                return page.luma(factor)
            return smaller(page.pixels.max(axis=2), factor)

        @cache
        def grey(factor: int) -> Grey:
            return lit(small(factor))

        @cache
        def even(factor: int) -> Grey:
            if factor > 1:
                return grey(factor)
            return lit(without_blocks(small(1), page.coded[0]))

        seeds = cache(lambda factor: find_seeds(even(factor)))
        # Taken up to where each call of ``begun`` needs them, by copies that remember for all.
        wider = cache(lambda factor, seed: tee(reaches(even(factor), seed), 1)[0])
        begun = cache(
            lambda factor, seed, keep: begin(even(factor), seed, copy(wider(factor, seed)), keep)
        )
        repeats = cache(lambda: repeats_of(page.size, grey))
        judge = cache(lambda settings: judge_of(grey, settings))
        return Views(page.size, light != "luma", grey, even, seeds, begun, repeats, judge)


def _thin_and_dark(grey: Grey, thin: int) -> Grey:
    """By how much every pixel is darker than all that is less than ``thin`` px away can close."""
    return np.asarray(closed(grey, thin) - grey)
