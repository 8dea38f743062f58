"""The lattice as the stitcher tells it, on drawn pages whose true grid is known."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from chartscan.errors import GridError
from chartscan.reading import ReadSettings, read_pages
from chartscan.reading.page import load_page
from chartscan.reading.told import count_cells
from tests.conftest import DrawChart


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
