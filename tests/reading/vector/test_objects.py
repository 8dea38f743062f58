"""Paths as a PDF draws them."""

from __future__ import annotations

import numpy as np
import pytest
from reportlab.pdfgen.canvas import Canvas

from chartscan.reading.page.pdf import opened_page
from chartscan.reading.vector.objects import Drawn, list_objects


@pytest.fixture(scope="module")
def paths(tmp_path_factory: pytest.TempPathFactory) -> tuple[Drawn, ...]:
    """Two circles in one path, a square filled half through, a line."""
    file = tmp_path_factory.mktemp("drawn") / "a.pdf"
    canvas = Canvas(str(file), pagesize=(200, 100), bottomup=0)
    both = canvas.beginPath()
    both.circle(50, 40, 10)
    both.circle(90, 40, 20)
    canvas.setFillColorRGB(1, 0, 0)
    canvas.drawPath(both, stroke=0, fill=1)
    canvas.setFillColorRGB(0, 0, 1, alpha=0.5)
    canvas.rect(120, 20, 30, 10, stroke=0, fill=1)
    canvas.setLineWidth(3)
    canvas.line(10, 90, 190, 80)
    canvas.showPage()
    canvas.save()
    with opened_page(file, None) as (page, _, _):
        found = list_objects(page, 100)
    assert found is not None
    assert found.size == pytest.approx((200, 100))
    return found.drawn


def test_circles_are_told_by_points_on_them(paths: tuple[Drawn, ...]) -> None:
    """Not by those that steer their curves, so that a knot is as wide as it is drawn."""
    circles = paths[0]
    assert (circles.curved, circles.closed, circles.fill) == (True, True, (255, 0, 0))
    for outline, middle, radius in zip(
        circles.outlines, ((50, 40), (90, 40)), (10, 20), strict=True
    ):
        apart = np.hypot(*(outline - middle).T)
        assert apart == pytest.approx(np.full(len(outline), radius), abs=0.01)
    assert circles.box == pytest.approx((40, 20, 110, 60), abs=0.01)


def test_what_shines_through_and_how_wide_a_line_is_are_told(paths: tuple[Drawn, ...]) -> None:
    _, square, line = paths
    assert (square.opaque, square.stroke, square.closed) == (False, None, True)
    assert square.box == pytest.approx((120, 20, 150, 30), abs=0.01)
    assert (line.opaque, line.fill, line.closed) == (True, None, False)
    assert line.width == pytest.approx(3)
    assert np.concatenate(line.outlines) == pytest.approx(np.array([[10, 90], [190, 80]]), abs=0.01)
