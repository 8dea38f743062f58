"""How alike glyphs look: a little aside they are one, and other shapes never."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.classes.cluster import ClusterSettings, cluster
from chartscan.reading.classes.looks import Looks
from chartscan.reading.classes.usual import FEW

SIDE = 12
FIRST = np.array([0])


def glyph(shape: str, right: float = 0.0) -> np.ndarray:
    """A soft disc or bar of 30 levels on white, moved to the right: a row of ink, then ground."""
    y, x = np.mgrid[0:SIDE, 0:SIDE] - (SIDE - 1) / 2
    x = x - right
    far = np.hypot(x, y) - 3 if shape == "disc" else np.maximum(np.abs(x) - 1, np.abs(y) - 4)
    ink = -30 / (1 + np.exp(3 * far))
    return np.concatenate([ink.ravel(), np.array([100.0, 0, 0]) * SIDE])


def looks(*rows: np.ndarray) -> tuple[Looks, np.ndarray]:
    found = Looks(np.array(rows), SIDE * SIDE)
    return found, found.sloped(found.points)


@pytest.mark.parametrize("right", [-1.0, -0.4, 0.3, 0.9])
def test_a_glyph_a_little_aside_is_the_same_and_another_is_not(right: float) -> None:
    found, sloped = looks(glyph("disc"), glyph("disc", right), glyph("bar"))
    few = np.array([[FEW, FEW]])
    assert found.alike(sloped, FIRST, np.array([1, 2]), few).tolist() == [[True, False]]


def test_one_glyph_on_two_grounds_is_two() -> None:
    tinted = glyph("disc")
    tinted[SIDE * SIDE :] = np.array([90.0, 20, 5]) * SIDE
    found, sloped = looks(glyph("disc"), tinted)
    assert not found.alike(sloped, FIRST, np.array([1]), np.array([[FEW]])).any()


def test_slopes_of_a_mean_are_the_mean_of_slopes() -> None:
    found, sloped = looks(glyph("disc"), glyph("bar", 1.0))
    mean = found.points.mean(axis=0, keepdims=True)
    np.testing.assert_allclose(found.sloped(mean)[0], sloped.mean(axis=0), atol=1e-9)


def test_many_held_against_many_are_each_held_by_itself() -> None:
    rows = [glyph(shape, right) for shape in ("disc", "bar") for right in (-1.2, 0.0, 0.4, 2.5)]
    found, sloped = looks(*rows)
    sizes = np.arange(1, 1 + len(rows) ** 2).reshape(len(rows), -1)
    every = np.arange(len(rows))
    together = found.alike(sloped, every, every, sizes)
    alone = [found.alike(sloped, every[[k]], every, sizes[[k]])[0] for k in every]
    assert (together == np.array(alone)).all()
    assert together.any()
    assert not together.all()


@pytest.mark.parametrize(("noise", "classes"), [(0.05, 2), (1.5, 1)])
def test_near_glyphs_in_one_cell_each_are_two_where_noise_is_far_less(
    noise: float, classes: int
) -> None:
    """A disc, and one with its corners taken off, differ by less than a third of their ink."""
    disc = glyph("disc")
    off = np.random.default_rng(6).normal(size=disc.shape)
    off *= 0.2 * np.linalg.norm(disc[: SIDE * SIDE]) / np.linalg.norm(off[: SIDE * SIDE])
    off[SIDE * SIDE :] = 0
    found, _ = looks(disc, disc + off)
    labels = cluster(found.points / noise / SIDE, ClusterSettings(floor=1.0), looks=found)
    assert labels.max() + 1 == classes
