"""Calling the program as a stitcher does, inside this process."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from os import PathLike
from pathlib import Path

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, save_chart
from chartscan.cli.main import run


@dataclass(frozen=True)
class Outcome:
    """What a call left behind: exit status, standard output, standard error."""

    status: int
    out: str
    err: str


Call = Callable[..., Outcome]


@pytest.fixture
def chartscan(capsys: pytest.CaptureFixture[str]) -> Call:
    """Run ``chartscan`` with these arguments."""

    def call(*arguments: str | PathLike[str]) -> Outcome:
        status = run([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return Outcome(status, said.out, said.err)

    return call


@pytest.fixture
def chart_file(tmp_path: Path) -> Path:
    """A chart file of 22 × 12 cells: 60 stitches in each of three colours, bare ground around."""
    cells = np.zeros((12, 22), dtype=np.int32)
    cells[1:11, 1:7] = 1
    cells[1:11, 7:13] = 2
    cells[1:11, 13:19] = 3
    classes = (
        ChartClass(0, "empty", (255, 255, 255)),
        ChartClass(1, "stitch", (196, 62, 58)),
        ChartClass(2, "stitch", (52, 104, 66)),
        ChartClass(3, "stitch", (236, 214, 140)),
    )
    path = tmp_path / "banner.json"
    save_chart(Chart(cells, classes, source={"file": "banner.png"}), path)
    return path


@pytest.fixture
def stripes(tmp_path: Path) -> Path:
    """A clean chart picture: 20 × 12 cells of 12 pixels, drawn here and nowhere else."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", (20 * 12 + 81, 12 * 12 + 81), "white")
    draw = ImageDraw.Draw(image)
    fills = ("#ffffff", "#c43e3a", "#346842", "#ecd68c")
    for row in range(12):
        for column in range(20):
            x, y = 40 + column * 12, 40 + row * 12
            draw.rectangle((x, y, x + 11, y + 11), fill=fills[stripe(row, column)])
    for column in range(21):
        draw.line((40 + column * 12, 40, 40 + column * 12, 40 + 144), fill="#777777")
    for row in range(13):
        draw.line((40, 40 + row * 12, 40 + 240, 40 + row * 12), fill="#777777")
    path = tmp_path / "stripes.png"
    image.save(path)
    return path


def stripe(row: int, column: int) -> int:
    """Class of a cell of :func:`stripes`: diagonal bands inside a bare frame."""
    inside = 0 < row < 11 and 0 < column < 19
    return (row + column) // 3 % 4 if inside else 0
