"""The map from cells to pixels."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.reading.lattice.model import FLAT, Lattice


@settings(max_examples=30)
@given(st.integers(0, 2**32 - 1), st.booleans(), st.booleans())
def test_a_grid_of_places_is_mapped_as_each_of_its_places_is(
    seed: int, bends: bool, leans: bool
) -> None:
    rng = np.random.default_rng(seed)
    homography = np.array([[9.0, 0.4, 20.0], [-0.3, 8.5, 30.0], [0.0, 0.0, 1.0]])
    homography[2, :2] = rng.uniform(-1e-3, 1e-3, 2) * leans
    nodes = rng.integers(2, 9, 2)
    residual = rng.normal(0, 0.5, (*nodes, 2)) if bends else FLAT
    lattice = Lattice(40, 30, homography, residual, drawn=True)
    u, v = rng.uniform(-5, 45, 17), rng.uniform(-5, 35, 11)
    each = lattice.to_pixels(np.stack(np.meshgrid(u, v), axis=-1))
    x, y = lattice.grid_to_pixels(u, v)
    np.testing.assert_allclose(np.stack([x, y], axis=-1), each, atol=0.01)


@settings(max_examples=30)
@given(st.integers(0, 2**32 - 1), st.sampled_from([0.25, 0.5, 2.0, 3.0]), st.booleans())
def test_a_page_that_is_enlarged_takes_its_lattice_along(
    seed: int, factor: float, bends: bool
) -> None:
    """Bends as well: else every curved page is read beside its lines once it is made smaller."""
    rng = np.random.default_rng(seed)
    homography = np.array([[9.0, 0.4, 20.0], [-0.3, 8.5, 30.0], [1e-4, -2e-4, 1.0]])
    residual = rng.normal(0, 0.5, (4, 5, 2)) if bends else FLAT
    lattice = Lattice(40, 30, homography, residual, drawn=True)
    places = np.stack([rng.uniform(0, 40, 20), rng.uniform(0, 30, 20)], axis=-1)
    enlarged = lattice.scaled(factor)
    np.testing.assert_allclose(enlarged.to_pixels(places), factor * lattice.to_pixels(places))
    np.testing.assert_allclose(
        enlarged.to_cells(factor * lattice.to_pixels(places)), places, atol=0.02
    )


@given(
    st.floats(-1e-4, 1e-4),
    st.floats(-0.2, 0.2),
    st.lists(st.floats(-1.5, 1.5), min_size=18, max_size=18),
)
def test_places_inside_cells_lie_where_each_of_them_does(
    perspective: float, turn: float, bend: list[float]
) -> None:
    matrix = np.array([[14.0, turn, 30], [-turn, 15.0, 20], [perspective, -perspective, 1]])
    lattice = Lattice(12, 16, matrix, np.array(bend).reshape(3, 3, 2), drawn=True)
    cells = np.array([[0, 0], [7, 3], [15, 11]])
    along = np.array([0.1, 0.5, 0.8])
    seen = lattice.inside(cells, along)
    assert seen.shape == (3, 3, 3, 2)
    for (row, column), places in zip(cells, seen, strict=True):
        for k, down in enumerate(along):
            points = np.stack([column + along, np.full(3, row + down)], axis=-1)
            np.testing.assert_allclose(places[k], lattice.to_pixels(points), atol=0.05)


@given(
    st.tuples(st.integers(0, 20), st.integers(0, 15)),
    st.tuples(st.integers(4, 20), st.integers(4, 15)),
    st.lists(st.floats(-3, 3), min_size=8, max_size=8),
)
def test_a_part_of_a_lattice_lies_where_it_lay(
    corner: tuple[int, int], size: tuple[int, int], bend: list[float]
) -> None:
    """The residual goes along with its cells; one that is bilinear is kept to the last digit."""
    matrix = np.array([[14.0, 0.3, 30], [-0.2, 15.0, 20], [1e-4, -1e-4, 1]])
    lattice = Lattice(40, 30, matrix, np.array(bend).reshape(2, 2, 2), drawn=True)
    part = lattice.cut(*corner, *size)
    assert (part.columns, part.rows) == size
    places = np.array([[0.0, 0.0], [1.5, 3.25], size])
    np.testing.assert_allclose(
        part.to_pixels(places), lattice.to_pixels(places + corner), rtol=1e-9
    )


@given(st.sampled_from([0.5, 2.0]), st.floats(-1e-3, 1e-3))
def test_cells_of_another_size_lie_on_the_same_page(times: float, perspective: float) -> None:
    matrix = np.array([[14.0, 0.3, 30], [-0.2, 15.0, 20], [perspective, 0, 1]])
    lattice = Lattice(40, 30, matrix, np.arange(8.0).reshape(2, 2, 2), drawn=True)
    other = lattice.in_cells(times)
    assert (other.columns, other.rows) == (40 / times, 30 / times)
    places = np.array([[0.0, 0.0], [3.0, 7.5], [other.columns, other.rows]])
    np.testing.assert_allclose(other.to_pixels(places), lattice.to_pixels(places * times))
