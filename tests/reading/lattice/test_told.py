"""The lattice as the stitcher tells it, on drawn pages whose true grid is known."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from chartscan.errors import GridError
from chartscan.reading import ReadSettings, read_pages
from chartscan.reading.lattice.locate import locate
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.sized import sized
from chartscan.reading.lattice.told import count_cells
from chartscan.reading.page.page import Page, load_page
from tests.conftest import DrawChart, Drawn


def corners_of(truth: dict[str, Any]) -> tuple[tuple[float, float], ...]:
    """The outer corners of a flat page's grid in pixels, from the true places of some cells."""
    known = np.array([c[:4] for c in truth["centres"]], dtype=np.float64)
    terms = np.c_[known[:, 1] + 0.5, known[:, 0] + 0.5, np.ones(len(known))]
    affine = np.linalg.lstsq(terms, known[:, 2:], rcond=None)[0]
    w, h = truth["columns"], truth["rows"]
    outer = np.array([[0, 0, 1], [w, 0, 1], [w, h, 1], [0, h, 1.0]]) @ affine
    return tuple((float(x), float(y)) for x, y in outer)


def test_corners_and_size_give_the_chart_that_is_there(draw_chart: DrawChart) -> None:
    drawn = draw_chart("clean-page", 3)
    size = (drawn.truth["columns"], drawn.truth["rows"])
    settings = ReadSettings(size=size, corners=corners_of(drawn.truth))
    chart = read_pages(drawn.pages, settings).chart
    assert (chart.columns, chart.rows) == size
    stitched = {c["index"] for c in drawn.truth["classes"] if c["kind"] == "stitch"}
    truth = np.isin(np.array(drawn.truth["cells"]), list(stitched))
    read = np.isin(chart.cells, [c.index for c in chart.classes if c.kind == "stitch"])
    assert (read == truth).all()


def test_corners_alone_tell_the_number_of_cells(draw_chart: DrawChart) -> None:
    drawn = draw_chart("clean-page", 3)
    counted = count_cells(load_page(drawn.pages[0]), corners_of(drawn.truth))
    assert counted == (drawn.truth["columns"], drawn.truth["rows"])


def test_an_area_is_read_as_if_it_were_the_page(draw_chart: DrawChart) -> None:
    drawn = draw_chart("clean-page", 3)
    corners = np.array(corners_of(drawn.truth))
    x, y = corners.min(axis=0) - 20
    width, height = np.ptp(corners, axis=0) + 40
    chart = read_pages(drawn.pages, ReadSettings(area=(x, y, width, height))).chart
    assert (chart.columns, chart.rows) == (drawn.truth["columns"], drawn.truth["rows"])


def test_an_area_off_the_page_is_refused(draw_chart: DrawChart) -> None:
    drawn = draw_chart("clean-page", 3)
    with pytest.raises(GridError, match="off the page"):
        read_pages(drawn.pages, ReadSettings(area=(90_000.0, 90_000.0, 50.0, 50.0)))


def test_a_size_that_isnt_there_is_refused(draw_chart: DrawChart) -> None:
    drawn = draw_chart("clean-page", 3)
    with pytest.raises(GridError, match="not 17×19"):
        read_pages(drawn.pages, ReadSettings(size=(17, 19)))


# ---------------------------------------------------------------------------- size


@pytest.mark.parametrize("group", ["clean-page", "mild-photo"])
@pytest.mark.parametrize("cut", [(2, 0, 3, 1), (0, 1, 0, 0)], ids=["four sides", "one side"])
def test_rows_that_were_not_found_are_looked_for_where_the_size_tells_them(
    draw_chart: DrawChart, group: str, cut: tuple[int, int, int, int]
) -> None:
    page, lattice = found_on(draw_chart(group, 3))
    left, top, right, bottom = cut
    size = (lattice.columns, lattice.rows)
    less = lattice.cut(left, top, size[0] - left - right, size[1] - top - bottom)
    again = sized(page, less, size)
    assert again is not None
    assert np.abs(again.centres() - lattice.centres()).max() < 0.15 * min(lattice.pitch)


@pytest.mark.parametrize("group", ["clean-page", "mild-photo"])
def test_rows_that_are_none_are_left_out_where_the_size_tells_it(
    draw_chart: DrawChart, group: str
) -> None:
    page, lattice = found_on(draw_chart(group, 3))
    more = lattice.cut(-1, -2, lattice.columns + 2, lattice.rows + 2)
    again = sized(page, more, (lattice.columns, lattice.rows))
    assert again is not None
    assert np.abs(again.centres() - lattice.centres()).max() < 0.15 * min(lattice.pitch)


@pytest.mark.parametrize("times", [2, 3])
def test_a_grid_found_too_coarse_or_too_fine_is_made_right(times: int) -> None:
    page, lattice = ruled()
    size = (lattice.columns, lattice.rows)
    for wrong in (1 / times, times):
        matrix = lattice.homography @ np.diag([wrong, wrong, 1.0])
        columns, rows = (int(n / wrong) for n in size)
        other = replace(lattice, columns=columns, rows=rows, homography=matrix)
        again = sized(page, other, size)
        assert again is not None
        np.testing.assert_allclose(again.homography, lattice.homography, atol=1e-9)


@pytest.mark.parametrize("group", ["clean-page", "mild-photo"])
@pytest.mark.parametrize("off", [(1, 0), (-1, 0), (0, -1), (2, 2), (-2, -2)])
def test_no_grid_is_bent_to_a_size_that_is_told_wrong(
    draw_chart: DrawChart, group: str, off: tuple[int, int]
) -> None:
    page, lattice = found_on(draw_chart(group, 3))
    columns, rows = lattice.columns, lattice.rows
    for wrong in ((columns + off[0], rows + off[1]), (2 * columns, 2 * rows)):
        assert sized(page, lattice, wrong) is None


def found_on(drawn: Drawn) -> tuple[Page, Lattice]:
    """The page, and the lattice that is found on it, which is the true one."""
    page = load_page(drawn.pages[0])
    lattice = locate(page).lattice
    assert (lattice.columns, lattice.rows) == (drawn.truth["columns"], drawn.truth["rows"])
    return page, lattice


def ruled() -> tuple[Page, Lattice]:
    """A page of 24 × 36 white cells of 12 px between lines, and its lattice."""
    pixels = np.full((36 * 12 + 61, 24 * 12 + 81, 3), 255, np.uint8)
    inside = pixels[30:-30, 40:-40]
    inside[::12] = inside[:, ::12] = 90
    homography = np.array([[12.0, 0, 40.5], [0, 12, 30.5], [0, 0, 1]])
    return Page(pixels, lossless=True), Lattice(24, 36, homography, FLAT, drawn=True)
