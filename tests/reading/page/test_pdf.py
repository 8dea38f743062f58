"""PDF charts: what they draw is read exactly, and what can't be read so is rendered."""

from __future__ import annotations

import sys
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from chartscan.chart import Chart
from chartscan.errors import PageError
from chartscan.reading.page.page import PageSettings, load_page
from chartscan.reading.vector.trace import Traced, trace

PITCH = 9.37  # points; no round number, so that nothing is right by luck
LEFT, TOP = 50.3, 60.7
COLOURS = [(255, 255, 255), (200, 40, 60), (30, 90, 160), (240, 210, 120)]

Cells = NDArray[np.intp]
Draw = Callable[[Canvas], None]


@pytest.fixture
def cells() -> Cells:
    """Twelve rows of seventeen cells, outer ring empty, every class used."""
    inner = np.random.default_rng(5).integers(0, 4, (10, 15))
    return np.pad(inner, 1)


def written(path: Path, *draw: Draw, size: tuple[float, float] = (400, 300)) -> Path:
    canvas = Canvas(str(path), pagesize=size, bottomup=0)
    for page in draw:
        page(canvas)
        canvas.showPage()
    canvas.save()
    return path


def at(row: float, column: float) -> tuple[float, float]:
    return LEFT + column * PITCH, TOP + row * PITCH


def fill(canvas: Canvas, cells: Cells, classes: tuple[int, ...] = (1, 2, 3)) -> None:
    for row, column in np.argwhere(np.isin(cells, classes)):
        canvas.setFillColorRGB(*(v / 255 for v in COLOURS[cells[row, column]]))
        canvas.rect(*at(int(row), int(column)), PITCH, PITCH, stroke=0, fill=1)


def rule(canvas: Canvas, cells: Cells, every: int = 1, width: float = 0.4) -> None:
    rows, columns = cells.shape
    canvas.setStrokeGray(0.4)
    canvas.setLineWidth(width)
    for column in {*range(0, columns + 1, every), columns}:
        canvas.line(*at(0, column), *at(rows, column))
    for row in {*range(0, rows + 1, every), rows}:
        canvas.line(*at(row, 0), *at(row, columns))


def traced(path: Path, number: int | None = None) -> Traced:
    found = trace(path, number)
    assert found is not None
    return found


def exact(path: Path, number: int | None = None) -> Chart:
    found = traced(path, number)
    assert found.chart is not None, found.misfit
    return found.chart


def same_cells(chart: Chart, cells: Cells) -> bool:
    """Whether the chart's cells show the drawn colours."""
    shown = np.array([c.rgb or (0, 0, 0) for c in chart.classes])[chart.cells]
    return shown.shape[:2] == cells.shape and bool((shown == np.array(COLOURS)[cells]).all())


def test_squares_under_lines_are_read_exactly(tmp_path: Path, cells: Cells) -> None:
    def draw(canvas: Canvas) -> None:
        fill(canvas, cells)
        rule(canvas, cells)
        rule(canvas, cells, every=10, width=1.1)
        canvas.drawString(50, 30, "Harbour Lights")

    found = traced(written(tmp_path / "a.pdf", draw))
    assert found.chart is not None
    assert same_cells(found.chart, cells)
    assert [c.kind for c in found.chart.classes] == ["empty", "stitch", "stitch", "stitch"]
    assert found.lattice.drawn
    centre = found.lattice.to_pixels(np.array([5.5, 4.5]))
    pixel = found.page.pixels[int(centre[1]), int(centre[0])]
    assert tuple(pixel) == COLOURS[cells[4, 5]]


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_a_turned_page_is_read_as_shown(tmp_path: Path, cells: Cells, turn: int) -> None:
    def draw(canvas: Canvas) -> None:
        canvas.setPageRotation(turn)
        fill(canvas, cells)
        rule(canvas, cells)

    chart = exact(written(tmp_path / "a.pdf", draw))
    assert same_cells(chart, np.rot90(cells, -turn // 90))


def test_frames_grounds_and_middle_lines_are_no_stitches(tmp_path: Path, cells: Cells) -> None:
    rows, columns = cells.shape

    def draw(canvas: Canvas) -> None:
        canvas.setFillGray(1)
        canvas.rect(0, 0, 400, 300, stroke=0, fill=1)
        canvas.setLineWidth(1)
        canvas.rect(10, 10, 380, 280)
        fill(canvas, cells, (0, 1, 2, 3))
        canvas.setDash(2, 1)
        rule(canvas, cells)
        canvas.setDash()
        canvas.setStrokeColorRGB(1, 0, 0)
        canvas.line(*at(0, 8), *at(rows, 8))
        canvas.line(*at(6, 0), *at(6, columns))

    chart = exact(written(tmp_path / "a.pdf", draw))
    assert same_cells(chart, cells)
    assert chart.lines == ()
    assert chart.classes[0].kind == "empty"


def test_squares_smaller_than_their_cells_fill_them(tmp_path: Path, cells: Cells) -> None:
    def draw(canvas: Canvas) -> None:
        rule(canvas, cells)
        for row, column in np.argwhere(cells):
            x, y = at(int(row) + 0.12, int(column) + 0.12)
            canvas.setFillColorRGB(*(v / 255 for v in COLOURS[cells[row, column]]))
            canvas.rect(x, y, 0.76 * PITCH, 0.76 * PITCH, stroke=0, fill=1)

    assert same_cells(exact(written(tmp_path / "a.pdf", draw)), cells)


def test_a_tinted_ground_is_empty(tmp_path: Path, cells: Cells) -> None:
    rows, columns = cells.shape

    def draw(canvas: Canvas) -> None:
        canvas.setFillColorRGB(0.8, 0.6, 0.4)
        canvas.rect(*at(0, 0), columns * PITCH, rows * PITCH, stroke=0, fill=1)
        fill(canvas, cells)
        rule(canvas, cells)

    chart = exact(written(tmp_path / "a.pdf", draw))
    assert chart.classes[0].kind == "empty"
    assert chart.classes[0].rgb == (204, 153, 102)
    assert chart.stitches == int((cells > 0).sum())


def test_forms_scales_and_crop_boxes_are_followed(tmp_path: Path, cells: Cells) -> None:
    def draw(canvas: Canvas) -> None:
        canvas.beginForm("chart")
        fill(canvas, cells)
        rule(canvas, cells)
        canvas.endForm()
        canvas.translate(10, 20)
        canvas.scale(1.4, 1.1)
        canvas.doForm("chart")
        canvas.setCropBox((20, 20, 390, 290))

    # Forms keep y running up, whatever the page does: the chart stands on its head.
    assert same_cells(exact(written(tmp_path / "a.pdf", draw)), cells[::-1])


def test_runs_and_unions_of_squares_are_taken_apart(tmp_path: Path, cells: Cells) -> None:
    def draw(canvas: Canvas) -> None:
        for index in (1, 2, 3):
            path = canvas.beginPath()
            for row, column in np.argwhere(cells == index):
                path.rect(*at(int(row), int(column)), PITCH, PITCH)
            canvas.setFillColorRGB(*(v / 255 for v in COLOURS[index]))
            canvas.drawPath(path, stroke=0, fill=1)
        rule(canvas, cells)

    assert same_cells(exact(written(tmp_path / "a.pdf", draw)), cells)


def test_lines_every_fifth_cell_only_do_not_make_large_cells(tmp_path: Path, cells: Cells) -> None:
    def draw(canvas: Canvas) -> None:
        fill(canvas, cells)
        rule(canvas, cells, every=5, width=1)

    assert same_cells(exact(written(tmp_path / "a.pdf", draw)), cells)


def test_without_lines_the_chart_is_the_box_of_its_stitches(tmp_path: Path, cells: Cells) -> None:
    cells[1, :], cells[1, 5] = 0, 2  # the ring stays bare; so does most of the first row
    found = traced(written(tmp_path / "a.pdf", lambda canvas: fill(canvas, cells)))
    stitched = np.argwhere(cells)
    (top, left), (bottom, right) = stitched.min(axis=0), stitched.max(axis=0) + 1
    assert found.chart is not None
    assert same_cells(found.chart, cells[top:bottom, left:right])
    assert not found.lattice.drawn
    assert (found.lattice.rows, found.lattice.columns) == found.chart.cells.shape


def test_letters_are_symbols_and_equal_colours_part_by_them(tmp_path: Path, cells: Cells) -> None:
    letters = " XO+"

    def draw(canvas: Canvas) -> None:
        rule(canvas, cells)
        canvas.setFillGray(0)
        canvas.setFont("Helvetica", 7)
        for row, column in np.argwhere(cells):
            x, y = at(int(row) + 0.75, int(column) + 0.5)
            canvas.drawCentredString(x, y, letters[cells[row, column]])

    chart = exact(written(tmp_path / "a.pdf", draw))
    symbols = np.array([c.symbol or " " for c in chart.classes])[chart.cells]
    np.testing.assert_array_equal(symbols, np.array(list(letters))[cells])
    assert {c.rgb for c in chart.classes if c.kind == "stitch"} == {None}


def test_symbols_drawn_as_paths_are_told_by_shape(tmp_path: Path, cells: Cells) -> None:
    def draw(canvas: Canvas) -> None:
        rule(canvas, cells)
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.6)
        for row, column in np.argwhere(cells):
            r, c, kind = int(row), int(column), cells[row, column]
            if kind in (1, 3):
                canvas.line(*at(r + 0.2, c + 0.2), *at(r + 0.8, c + 0.8))
            if kind in (2, 3):
                canvas.line(*at(r + 0.2, c + 0.8), *at(r + 0.8, c + 0.2))

    chart = exact(written(tmp_path / "a.pdf", draw))
    pairs = {(int(a), int(b)) for a, b in zip(chart.cells.ravel(), cells.ravel(), strict=True)}
    assert len(pairs) == 4  # each drawn kind is one class, and each class one kind
    assert len(chart.classes) == 4


def test_marks_over_the_cells_are_read_and_leave_them_be(tmp_path: Path, cells: Cells) -> None:
    cells[0, 3] = 0

    def draw(canvas: Canvas) -> None:
        fill(canvas, cells)
        canvas.setFillColorRGB(*(v / 255 for v in COLOURS[1]))
        path = canvas.beginPath()
        path.moveTo(*at(0, 3))
        path.lineTo(*at(0, 4))
        path.lineTo(*at(1, 3))
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
        canvas.rect(*at(0, 5.5), PITCH / 2, PITCH / 2, stroke=0, fill=1)
        rule(canvas, cells)
        canvas.setStrokeColorRGB(0, 0.5, 0)
        canvas.setLineWidth(1.4)
        canvas.line(*at(2, 2), *at(5, 4.5))
        canvas.setFillColorRGB(0.5, 0, 0.5)
        for row, column in ((3, 3), (4.5, 8)):
            canvas.circle(*at(row, column), 2.2, stroke=0, fill=1)

    chart = exact(written(tmp_path / "a.pdf", draw))
    assert same_cells(chart, cells)
    parts = {(p.row, p.column, p.shape, p.corner) for p in chart.parts}
    assert parts == {(0, 3, "triangle", "top left"), (0, 5, "quarter", "top right")}
    assert [line.points for line in chart.lines] == [((2.0, 2.0), (4.5, 5.0))]
    assert {(k.x, k.y) for k in chart.knots} == {(3.0, 3.0), (8.0, 4.5)}
    assert {chart.classes[p.class_index].rgb for p in chart.parts} == {COLOURS[1]}


def test_what_the_objects_do_not_tell_leaves_the_grid_but_no_chart(
    tmp_path: Path, cells: Cells
) -> None:
    """A clip hides half the squares; the rendered page shows it, the list of objects doesn't."""

    def draw(canvas: Canvas) -> None:
        canvas.saveState()
        clip = canvas.beginPath()
        clip.rect(0, 0, at(0, 6.5)[0], 300)
        canvas.clipPath(clip, stroke=0)
        fill(canvas, cells)
        canvas.restoreState()
        rule(canvas, cells)

    found = traced(written(tmp_path / "a.pdf", draw))
    assert found.chart is None
    assert "looks otherwise" in found.misfit
    assert (found.lattice.rows, found.lattice.columns) == cells.shape


def test_a_picture_on_the_grid_is_left_to_the_reader_of_pixels(
    tmp_path: Path, cells: Cells
) -> None:
    from PIL import Image

    def draw(canvas: Canvas) -> None:
        canvas.drawImage(ImageReader(Image.new("RGB", (9, 9), (9, 9, 9))), *at(2, 2), 20, 20)
        rule(canvas, cells)

    found = traced(written(tmp_path / "a.pdf", draw))
    assert found.chart is None
    assert "picture" in found.misfit


def test_a_page_of_text_has_no_grid(tmp_path: Path) -> None:
    assert trace(written(tmp_path / "a.pdf", lambda c: c.drawString(60, 90, "Hello"))) is None


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_page_that_is_one_picture_comes_pixel_for_pixel(tmp_path: Path, turn: int) -> None:
    from PIL import Image

    scan = np.random.default_rng(2).integers(0, 255, (601, 799, 3), dtype=np.uint8)
    path = tmp_path / "a.pdf"
    size = (399.31, 301.17)  # as it is before turning; reportlab wants it as shown
    canvas = Canvas(str(path), pagesize=size if turn % 180 == 0 else size[::-1])
    canvas.setPageRotation(turn)
    canvas.drawImage(ImageReader(Image.fromarray(scan)), 0, 0, 399.31, 301.17)
    canvas.save()
    page = load_page(path)
    np.testing.assert_array_equal(page.pixels, np.rot90(scan, -turn // 90))
    assert page.lossless


def test_a_jpeg_scan_is_not_lossless(tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGB", (400, 300), (200, 180, 160)).save(tmp_path / "a.jpg")
    canvas = Canvas(str(tmp_path / "a.pdf"), pagesize=(400, 300))
    canvas.drawImage(str(tmp_path / "a.jpg"), 0, 0, 400, 300)
    canvas.save()
    page = load_page(tmp_path / "a.pdf")
    assert page.size == (400, 300)
    assert not page.lossless


def test_a_picture_with_something_on_it_is_rendered_at_its_own_resolution(tmp_path: Path) -> None:
    from PIL import Image

    scan = Image.fromarray(np.random.default_rng(2).integers(0, 255, (600, 800, 3), dtype=np.uint8))

    def draw(canvas: Canvas) -> None:
        canvas.drawImage(ImageReader(scan), 0, 0, 400, 300)
        canvas.rect(100, 100, 50, 50, stroke=0, fill=1)

    page = load_page(written(tmp_path / "a.pdf", draw))
    assert page.size == (800, 600)
    assert page.pixels[250, 250].max() == 0
    assert not page.lossless


def test_two_inches_of_drawing_are_600_pixels(tmp_path: Path) -> None:
    path = written(tmp_path / "a.pdf", lambda c: c.drawString(9, 9, "x"), size=(144, 72))
    assert load_page(path).size == (600, 300)


def test_a_vector_page_is_rendered_within_the_limit(tmp_path: Path) -> None:
    path = written(tmp_path / "a.pdf", lambda c: c.drawString(9, 9, "x"), size=(4000, 4000))
    page = load_page(path, PageSettings(max_pixels=250_000))
    assert page.size[0] * page.size[1] <= 250_000
    assert page.number == 1


def test_pages_are_numbered_from_one(tmp_path: Path, cells: Cells) -> None:
    def cover(canvas: Canvas) -> None:
        canvas.drawString(60, 90, "Cover")

    def chart(canvas: Canvas) -> None:
        fill(canvas, cells)
        rule(canvas, cells)

    path = written(tmp_path / "a.pdf", cover, chart)
    assert same_cells(exact(path, 2), cells)
    assert "holds 2 pages; the first was read" in load_page(path).warnings[0]
    with pytest.raises(PageError, match="has no page 3; it holds 2"):
        load_page(path, number=3)


def test_protected_and_broken_files_get_one_clear_line(tmp_path: Path) -> None:
    from reportlab.lib.pdfencrypt import StandardEncryption

    out = BytesIO()
    canvas = Canvas(out, encrypt=StandardEncryption("secret"))
    canvas.drawString(9, 9, "x")
    canvas.save()
    for name, data, said in [
        ("locked.pdf", out.getvalue(), "protected by a password"),
        ("torn.pdf", b"%PDF-1.4\n1 0 obj", "damaged PDF"),
        ("bare.pdf", b"%PDF-1.4\n", "damaged PDF"),
    ]:
        path = tmp_path / name
        path.write_bytes(data)
        with pytest.raises(PageError, match=said) as caught:
            load_page(path)
        assert name in str(caught.value)


def test_without_pypdfium2_the_extra_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path / "a.pdf", lambda c: c.drawString(9, 9, "x"))
    monkeypatch.setitem(sys.modules, "pypdfium2", None)
    with pytest.raises(PageError, match=r"pip install 'chartscan\[pdf\]'"):
        load_page(path)
