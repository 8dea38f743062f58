"""What a chart file keeps of its pages comes back, and tells how one reading lies over another."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.errors import ChartError
from chartscan.reading.cells.light import Fold, Light
from chartscan.reading.kept import KeptPage, describe_lattice, kept_pages
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.overlay import overlay, turned
from tests.reading.staged import straight

ROWS, COLUMNS = 6, 8
SIZE = (400, 300)
Floats = NDArray[np.float64]


def chart_of(
    lattice: dict[str, Any], source: dict[str, Any], rows: int = ROWS, columns: int = COLUMNS
) -> Chart:
    """A chart as its file holds it: what is kept has gone through JSON."""
    cells = np.random.default_rng(1).integers(0, 2, (rows, columns)).astype(np.int32)
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", (9, 9, 9)))
    through = json.loads(json.dumps([lattice, source]))
    return Chart(cells, classes, lattice=through[0], source=through[1])


def awry(seed: int, bent: bool) -> Lattice:
    rng = np.random.default_rng(seed)
    homography = np.array([[40.0, 1.3, 20.0], [-0.7, 38.5, 30.0], [1e-4, -2e-4, 1.0]])
    homography[:2] += rng.normal(0, 0.5, (2, 3))
    residual = rng.normal(0, 1, (3, 4, 2)).round(3) if bent else FLAT
    return Lattice(COLUMNS, ROWS, homography, residual, bool(rng.integers(2)))


def one(chart: Chart) -> KeptPage:
    (page,) = kept_pages(chart)
    return page


# --------------------------------------------------------------------------- round trip


@settings(max_examples=30)
@given(st.integers(0, 10**6), st.booleans())
def test_a_lattice_comes_back_to_a_hundredth_of_a_pixel(seed: int, bent: bool) -> None:
    lattice = awry(seed, bent)
    page = one(chart_of(describe_lattice(lattice, SIZE), {}))
    again = page.lattice
    assert (again.columns, again.rows, again.drawn) == (COLUMNS, ROWS, lattice.drawn)
    places = np.random.default_rng(seed).uniform(0, 6, (20, 2))
    np.testing.assert_allclose(again.to_pixels(places), lattice.to_pixels(places), atol=0.01)
    assert page.size == SIZE
    assert page.light is None


def test_light_comes_back_with_its_folds() -> None:
    surface = np.random.default_rng(2).normal(5, 0.1, (6, 3))
    fold = Fold(np.array([0.1, 0.25, 0.05]), 0.3, True)
    light = Light(surface, (COLUMNS, ROWS), (fold,))
    kept = one(chart_of(describe_lattice(straight(COLUMNS, ROWS), SIZE, light), {})).light
    assert kept is not None
    np.testing.assert_allclose(kept.surface, surface, atol=1e-6)
    (again,) = kept.folds
    np.testing.assert_allclose(again.depth, fold.depth)
    assert (again.lean, again.down) == (0.3, True)


def test_where_a_page_comes_from_and_lies_comes_back() -> None:
    kept = describe_lattice(straight(COLUMNS, ROWS), SIZE)
    source = {"file": "a.pdf", "sha256": "ab", "page": 3, "turn": 90}
    page = one(chart_of(kept, source))
    assert (page.file, page.sha256, page.number, page.turn) == ("a.pdf", "ab", 3, 90)
    assert page.origin == (0, 0)
    bare = one(chart_of(kept, {}))
    assert (bare.file, bare.sha256, bare.number, bare.turn) == ("", "", None, 0)


def test_several_pages_come_back_in_order_each_with_its_origin() -> None:
    lattices = [describe_lattice(straight(4, ROWS), SIZE), describe_lattice(straight(5, 3), SIZE)]
    sources = [{"file": "a.png"}, {"file": "b.png", "row": 3, "column": 4}]
    pages = kept_pages(chart_of({"pages": lattices}, {"pages": sources}))
    assert [(p.file, p.lattice.columns, p.lattice.rows) for p in pages] == [
        ("a.png", 4, ROWS),
        ("b.png", 5, 3),
    ]
    assert [p.origin for p in pages] == [(0, 0), (3, 4)]


def test_an_older_file_says_the_size_of_its_grid_by_its_cells() -> None:
    page = one(chart_of({"homography": np.eye(3).tolist()}, {}))
    assert (page.lattice.columns, page.lattice.rows) == (COLUMNS, ROWS)
    assert page.size is None
    assert not page.lattice.drawn


GOOD = describe_lattice(straight(COLUMNS, ROWS), SIZE)


@pytest.mark.parametrize(
    ("lattice", "source"),
    [
        ({}, {}),
        ({**GOOD, "homography": [[1, 0], [0, 1]]}, {}),
        ({**GOOD, "homography": "no"}, {}),
        ({**GOOD, "homography": [[1, 0, 0], [0, 1, 0], [0, 0, None]]}, {}),
        ({**GOOD, "residual": [[1, 2], [3]]}, {}),
        ({**GOOD, "columns": "many"}, {}),
        ({**GOOD, "size": [1.5, 2]}, {}),
        ({**GOOD, "light": {"folds": []}}, {}),
        (GOOD, {"turn": "left"}),
        (GOOD, {"page": "first"}),
        ({"pages": [GOOD]}, {"pages": []}),
        ({"pages": []}, {"pages": []}),
        ({"pages": [GOOD, GOOD]}, {"pages": [{}]}),
    ],
)
def test_a_file_that_doesnt_say_how_its_grid_lies_is_refused(
    lattice: dict[str, Any], source: dict[str, Any]
) -> None:
    with pytest.raises(ChartError, match="doesn't say how its grid lies"):
        kept_pages(chart_of(lattice, source))


# ------------------------------------------------------------------------------ overlay


@given(
    st.lists(st.tuples(st.floats(0, 400), st.floats(0, 300)), min_size=1, max_size=6),
    st.integers(0, 3),
)
def test_points_turn_with_their_picture(points: list[tuple[float, float]], quarters: int) -> None:
    """Against a rotation about the middle of the picture."""
    places = np.array(points)
    found, size = turned(places, SIZE, 90 * quarters)
    assert size == (SIZE if quarters % 2 == 0 else SIZE[::-1])
    angle = np.radians(90 * quarters)
    rotation = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    expected = (places - np.array(SIZE) / 2) @ rotation.T + np.array(size) / 2
    np.testing.assert_allclose(found, expected, atol=1e-9)
    back, again = turned(found, size, (360 - 90 * quarters) % 360)
    np.testing.assert_allclose(back, places, atol=1e-9)
    assert again == SIZE


def read_as(
    lattice: Lattice, turn: int = 0, size: tuple[int, int] = SIZE, sha: str = "ab"
) -> Chart:
    source = {"sha256": sha, "turn": turn}
    return chart_of(describe_lattice(lattice, size), source, lattice.rows, lattice.columns)


def nodes(old: Chart, new: Chart) -> Floats:
    found = overlay(old, new)
    assert found is not None
    return np.asarray(found.nodes)


def test_a_reading_of_the_same_grid_lies_cell_on_cell() -> None:
    lattice = awry(3, bent=False)
    found = nodes(read_as(lattice), read_as(lattice))
    x, y = np.meshgrid(np.arange(COLUMNS + 1.0), np.arange(ROWS + 1.0))
    np.testing.assert_allclose(found, np.stack([x, y], axis=-1), atol=1e-4)


def test_a_reading_that_found_two_columns_more_lies_two_columns_on() -> None:
    lattice = straight(COLUMNS, ROWS, 20, 60, 40)
    wider = straight(COLUMNS + 2, ROWS + 1, 20, 20, 20)
    found = nodes(read_as(lattice), read_as(wider))
    assert found[0, 0].tolist() == pytest.approx([2, 1])
    assert found[-1, -1].tolist() == pytest.approx([COLUMNS + 2, ROWS + 1])


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_a_page_that_was_turned_lies_turned(turn: int) -> None:
    lattice = straight(COLUMNS, ROWS, 20, 60, 40)
    corners, size = turned(lattice.to_pixels(np.array([(0.0, 0), (1, 0), (0, 1)])), SIZE, turn)
    across, down = corners[1] - corners[0], corners[2] - corners[0]
    homography = np.array(
        [[across[0], down[0], corners[0, 0]], [across[1], down[1], corners[0, 1]], [0, 0, 1]]
    )
    aside = replace(lattice, homography=homography)
    found = nodes(read_as(lattice), read_as(aside, turn, size))
    x, y = np.meshgrid(np.arange(COLUMNS + 1.0), np.arange(ROWS + 1.0))
    np.testing.assert_allclose(found, np.stack([x, y], axis=-1), atol=1e-4)


def test_a_page_that_was_rendered_larger_lies_as_it_did() -> None:
    lattice = straight(COLUMNS, ROWS, 20, 60, 40)
    double = read_as(lattice.scaled(2.0), size=(800, 600))
    found = nodes(read_as(lattice), double)
    assert found[-1, -1].tolist() == pytest.approx([COLUMNS, ROWS], abs=1e-4)


def test_another_picture_is_laid_over_by_its_cells_alone() -> None:
    lattice = straight(COLUMNS, ROWS, 20, 60, 40)
    moved = straight(COLUMNS, ROWS, 20, 100, 80)
    other = overlay(read_as(lattice), read_as(moved, sha="cd"))
    assert other is None or np.allclose(other.nodes[0, 0], 0)
