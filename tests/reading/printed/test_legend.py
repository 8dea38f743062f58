"""Print as a check: what the key and the axes say is compared with what was read."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass
from chartscan.errors import PageError
from chartscan.reading.evidence import Evidence
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page
from chartscan.reading.printed.legend import check_print
from chartscan.reading.printed.ocr import read_words

PITCH, LEFT, TOP = 20, 60, 60
HEAD = (
    "level\tpage_num\tblock_num\tpar_num\tline_num\tword_num\tleft\ttop\twidth\theight\tconf\ttext"
)
Words = list[tuple[int, int, str]]


@pytest.fixture
def evidence() -> Evidence:
    """A chart of 25 by 12 cells, 40 red and 30 blue, with a key to its right."""
    cells = np.zeros((12, 25), dtype=np.int32)
    cells[1:5, 2:12], cells[6:9, 5:15] = 1, 2
    pixels = np.full((380, 900, 3), 255, dtype=np.uint8)
    pixels[100:112, 600:612] = (200, 0, 0)
    pixels[130:142, 600:612] = (0, 0, 200)
    chart = Chart(
        cells,
        (
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", (200, 0, 0)),
            ChartClass(2, "stitch", (0, 0, 200)),
        ),
    )
    homography = np.array([[PITCH, 0, LEFT], [0, PITCH, TOP], [0, 0, 1.0]])
    page = Page(pixels, lossless=True, file="a.png")
    return Evidence(page, Lattice(25, 12, homography, FLAT, drawn=True), chart)


def install(folder: Path, monkeypatch: pytest.MonkeyPatch, script: str) -> None:
    """Put a program of that name where programs are found, and nothing else but the shell."""
    program = folder / "tesseract"
    program.write_text(f"#!/bin/sh\n{script}\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.defpath}")


def printing(folder: Path, monkeypatch: pytest.MonkeyPatch, words: Words) -> None:
    """A program that finds ``words`` (x, y of their top left, text), 10 pixels high, enlarged."""
    rows = [
        f"5\t1\t1\t1\t1\t1\t{2 * x}\t{2 * y}\t{16 * len(text)}\t20\t91.5\t{text}"
        for x, y, text in words
    ]
    table = folder / "table.tsv"
    table.write_text("\n".join([HEAD, *rows, "4\t1\t1\t1\t1\t0\t0\t0\t9\t9\t-1\t"]) + "\n")
    install(folder, monkeypatch, f"cat > /dev/null\ncat {table}")


AXES: Words = [(LEFT + 200 - 8, 40, "10"), (LEFT + 400 - 8, 40, "20"), (40, TOP + 195, "10")]
KEY: Words = [(620, 101, "01"), (645, 101, "Rust"), (690, 101, "40"), (620, 131, "02")]


def test_print_that_agrees_is_counted_and_nothing_more(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    printing(tmp_path, monkeypatch, [*AXES, *KEY, (645, 131, "Sky"), (690, 131, "30")])
    assert check_print(evidence.chart, [evidence]) == (
        "compared with print: 2 axis numbers, 2 numbers in the key",
    )


def test_a_count_that_differs_is_told(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    printing(tmp_path, monkeypatch, [*KEY, (645, 131, "Sky"), (690, 131, "1,031")])
    said = check_print(evidence.chart, [evidence])
    assert "the key prints 1,031 stitches (02 Sky 1,031), but class 2 was read 30 times" in said[1]


def test_numbers_that_are_no_counts_are_left_alone(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = [(620, 101, "Shade"), (670, 101, "1"), (620, 131, "Shade"), (670, 131, "2")]
    printing(tmp_path, monkeypatch, words)
    assert len(check_print(evidence.chart, [evidence])) == 1


def test_a_swatch_is_of_the_nearest_class_and_one_of_another_colour_of_none(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A red a little darker than the first class, 30 times; then a green that isn't worked."""
    pixels, first = evidence.page.pixels.copy(), evidence.chart.classes[0]
    pixels[130:142, 600:612], pixels[160:172, 600:612] = (182, 0, 0), (0, 150, 0)
    reds = (ChartClass(1, "stitch", (200, 0, 0)), ChartClass(2, "stitch", (180, 0, 0)))
    page = replace(evidence.page, pixels=pixels)
    chart = Chart(evidence.chart.cells, (first, *reds))
    words = [*KEY, (645, 131, "Wine"), (690, 131, "30"), (620, 161, "Leaf"), (690, 161, "9")]
    printing(tmp_path, monkeypatch, words)
    assert check_print(chart, [replace(evidence, page=page, chart=chart)]) == (
        "compared with print: 0 axis numbers, 2 numbers in the key",
    )


def test_an_axis_number_at_the_wrong_line_is_told(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = [(LEFT + 100 - 8, 40, "5"), *AXES[:2], (LEFT + 480 - 8, 40, "30")]
    printing(tmp_path, monkeypatch, [(x + 4 * (t == "5"), y, t) for x, y, t in words])
    said = check_print(evidence.chart, [evidence])
    assert "column number 30 is printed at line 24" in said[1]


def test_a_page_from_the_middle_counts_from_its_own_start(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    printing(tmp_path, monkeypatch, [(x, y, str(int(t) + 50)) for x, y, t in AXES])
    assert check_print(evidence.chart, [replace(evidence, origin=(0, 50))]) == (
        "compared with print: 2 axis numbers, 0 numbers in the key",
    )


def test_without_the_program_that_is_said(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(PageError, match="tesseract isn't installed"):
        check_print(evidence.chart, [evidence])


def test_a_program_that_fails_is_said(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    install(tmp_path, monkeypatch, "cat > /dev/null\nexit 3")
    with pytest.raises(PageError, match="tesseract failed"):
        read_words(evidence.page.pixels)


def test_doubtful_words_and_torn_rows_are_dropped(
    evidence: Evidence, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = tmp_path / "table.tsv"
    table.write_text(f"{HEAD}\n5\t1\t1\t1\t1\t1\t2\t2\t9\t9\t12\tnoise\n5\t1\n")
    install(tmp_path, monkeypatch, f"cat > /dev/null\ncat {table}")
    assert read_words(evidence.page.pixels) == []
