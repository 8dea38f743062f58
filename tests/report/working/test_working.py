"""The working chart: what is drawn is the chart, whole, once, and can be read back."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import resvg_py
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.errors import ChartError
from chartscan.reading import read_pages
from chartscan.report.working import WorkingSettings, working_page, working_sheets
from chartscan.report.working.layout import lay_out
from chartscan.report.working.outline import trace_symbol
from chartscan.report.working.signs import signs

SVG = "{http://www.w3.org/2000/svg}"
PRINTED_PX = 14  # a sign of 0.74 cell of 3.2 mm at 150 dots per inch


def _drawn(svg: str, dpi: int = 150) -> bytes:
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, dpi=dpi))


def _design(rows: int, columns: int, colours: int, seed: int) -> Chart:
    """Blocks of colours, a margin of bare fabric around them."""
    rng = np.random.default_rng(seed)
    cells = np.zeros((rows, columns), dtype=np.int32)
    for _ in range(60):
        row, column = rng.integers(1, rows - 9), rng.integers(1, columns - 9)
        height, width = rng.integers(2, 9, 2)
        cells[row : row + height, column : column + width] = rng.integers(0, colours + 1)
    rgb = rng.integers(20, 240, (colours + 1, 3)).tolist()
    classes = [ChartClass(0, "empty", (255, 255, 255))]
    classes += [ChartClass(i, "stitch", (r, g, b)) for i, (r, g, b) in enumerate(rgb[1:], 1)]
    return Chart(cells, tuple(classes))


def _marked() -> Chart:
    """Every kind of mark on a small chart."""
    cells = np.zeros((12, 14), dtype=np.int32)
    cells[2:6, 2:9] = 1
    return Chart(
        cells,
        (
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", (200, 40, 40)),
            ChartClass(2, "line", (0, 0, 120)),
            ChartClass(3, "knot", (0, 120, 0)),
        ),
        parts=(Part(7, 3, "triangle", "top left", 1), Part(7, 5, "quarter", "bottom right", 1)),
        lines=(Line(2, ((2, 2), (9, 2), (9, 6))),),
        knots=(Knot(3, 10.5, 9),),
    )


@pytest.mark.parametrize(
    ("ink", "seed", "colours"),
    [
        (False, 1, 8),
        (True, 1, 8),
        (False, 2, 8),
        (True, 2, 8),
        (True, 3, 17),  # a heavy disc and a heavy square among its symbols
        (True, 6, 17),
        (True, 101, 12),  # discs, squares and lozenges, rings and hollow lozenges in small blocks
        (True, 103, 20),
    ],
)
def test_a_sheet_that_is_read_back_gives_the_same_chart(
    tmp_path: Path, ink: bool, seed: int, colours: int
) -> None:
    chart = _design(40, 30, colours, seed)
    (sheet,) = working_sheets(chart, "A small design", settings=WorkingSettings(ink=ink))
    picture = tmp_path / "sheet.png"
    picture.write_bytes(_drawn(sheet))
    back = read_pages([picture]).chart
    assert back.cells.shape == chart.cells.shape
    pairs = set(zip(chart.cells.ravel().tolist(), back.cells.ravel().tolist(), strict=True))
    assert len(pairs) == len(np.unique(chart.cells)), "each class became one class"
    assert len(pairs) == len(np.unique(back.cells)), "no two classes became one"
    kinds = {(chart.classes[a].kind, back.classes[b].kind) for a, b in pairs}
    assert kinds == {("empty", "empty"), ("stitch", "stitch")}
    if not ink:
        assert all(chart.classes[a].rgb == back.classes[b].rgb for a, b in pairs)


@given(
    rows=st.integers(5, 400),
    columns=st.integers(5, 400),
    entries=st.integers(1, 120),
    cell=st.sampled_from([2.0, 3.2, 4.5]),
)
def test_every_cell_stands_on_one_sheet_besides_repeats(
    rows: int, columns: int, entries: int, cell: float
) -> None:
    chart = Chart(np.zeros((rows, columns), np.int32), (ChartClass(0, "empty"),))
    settings = WorkingSettings(cell_mm=cell)
    layout = lay_out(chart, entries, settings)
    seen = np.zeros((rows, columns), dtype=int)
    for sheet in layout.sheets:
        (top, bottom), (left, right) = sheet.rows, sheet.columns
        seen[top + sheet.repeated_rows : bottom, left + sheet.repeated_columns : right] += 1
        assert sheet.repeated_rows == (settings.repeat if top else 0)
        assert sheet.repeated_columns == (settings.repeat if left else 0)
        width, height = settings.room_mm
        assert (right - left) * layout.cell_mm <= width - settings.numbers_mm + 1e-9
        below = height - settings.numbers_mm - layout.key_mm
        assert (bottom - top) * layout.cell_mm <= below + 1e-9
    assert (seen == 1).all()
    assert cell <= layout.cell_mm <= settings.most_cell_mm


def test_signs_are_told_apart_at_the_size_they_are_printed() -> None:
    """Any two differ by the ink of some seven dots of a sheet printed at 150 dots per inch."""

    def look(sign: str) -> NDArray[np.float64]:
        svg = (
            "<svg xmlns='http://www.w3.org/2000/svg' width='98' height='98' viewBox='0 0 100 100'>"
            "<rect width='100' height='100' fill='#fff'/>"
            f"<path d='{sign}' fill-rule='evenodd'/></svg>"
        )
        with Image.open(io.BytesIO(_drawn(svg, 96))) as image:
            small = image.convert("L").resize((PRINTED_PX, PRINTED_PX), Image.Resampling.BOX)
            return np.asarray(small, dtype=np.float64) / 255

    looks = np.array([look(sign) for sign in signs(150)]).reshape(150, -1)
    apart = np.abs(looks[:, None] - looks[None]).sum(axis=2)
    assert apart[np.triu_indices(150, 1)].min() > 7


def test_more_classes_than_signs_are_refused_in_words() -> None:
    classes = (
        ChartClass(0, "empty"),
        *(ChartClass(i, "stitch", (i % 256, 9, 9)) for i in range(1, 400)),
    )
    cells = np.arange(400, dtype=np.int32).reshape(20, 20)
    with pytest.raises(ChartError, match=r"399 classes.*join classes"):
        working_sheets(Chart(cells, classes), "Too many")


def test_marks_are_drawn_where_they_lie_and_named_in_the_key() -> None:
    names = {1: "K7 Poppy", 2: "K9 Ink", 3: "K2 Moss"}
    (sheet,) = working_sheets(_marked(), "Marks", names)
    tree = ElementTree.fromstring(sheet)
    words = [text.text for text in tree.iter(f"{SVG}text")]
    assert set(names.values()) <= set(words)
    assert len(list(tree.iter(f"{SVG}polygon"))) == 2
    assert len(list(tree.iter(f"{SVG}circle"))) == 1
    strokes = [p.get("d") for p in tree.iter(f"{SVG}path") if p.get("stroke") == "#000078"]
    assert {"M2 2L9 2", "M9 2L9 6"} <= set(strokes)
    assert any("somebody's work" in (word or "") for word in words)


def test_a_class_that_no_thread_is_named_for_is_called_as_the_stitcher_calls_it() -> None:
    chart = _marked()
    first, second, *rest = chart.classes
    chart = replace(chart, classes=(first, replace(second, name="deep water"), *rest))
    (sheet,) = working_sheets(chart, "Marks")
    assert ">deep water<" in sheet
    (sheet,) = working_sheets(chart, "Marks", {1: "K7 Poppy"})
    assert ">K7 Poppy<" in sheet


def test_numbers_run_over_the_whole_chart_and_repeats_are_shaded() -> None:
    chart = _design(60, 90, 5, 3)
    sheets = working_sheets(chart, "Two sheets")
    assert len(sheets) == 2
    second = ElementTree.fromstring(sheets[1])
    numbers = {t.text for t in second.iter(f"{SVG}text") if (t.text or "").isdecimal()}
    assert "90" in numbers
    assert "10" in numbers, "rows are numbered"
    assert "#e4e4e4" not in sheets[0]
    assert "#e4e4e4" in sheets[1]


def test_the_page_s_own_symbols_are_drawn_where_they_are_known() -> None:
    picture = Image.new("L", (32, 32), 255)
    picture.paste(0, (8, 4, 24, 28))
    stream = io.BytesIO()
    picture.save(stream, "PNG")
    outline = trace_symbol(stream.getvalue())
    corners = np.array([float(n) for n in re.findall(r"[\d.]+", outline)]).reshape(-1, 2)
    np.testing.assert_allclose(corners.min(axis=0), (25, 12.5), atol=2)
    np.testing.assert_allclose(corners.max(axis=0), (75, 87.5), atol=2)
    chart = Chart(
        np.array([[0, 1]] * 5, dtype=np.int32),
        (
            ChartClass(0, "empty"),
            ChartClass(1, "stitch", None, "symbol 1", picture=stream.getvalue()),
        ),
    )
    assert outline in working_sheets(chart, "Own")[0]
    assert outline not in working_sheets(chart, "Ours", settings=WorkingSettings(own_signs=True))[0]


def test_words_from_outside_are_escaped() -> None:
    page = working_page(_marked(), "<script>alert(1)</script>", {1: "<img src=x onerror=alert(1)>"})
    assert "<script>" not in page
    assert "<img" not in page
