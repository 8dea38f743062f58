"""What decoding costs beyond the bare decoder: time as a ratio in one run, memory at its peak."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.reading.page.page import load_page
from chartscan.reading.vector.trace import trace
from tests.benchmarks.timing import decode, medians

pytestmark = pytest.mark.benchmark

ROUNDS = 7
A4_600 = (7016, 4960)  # rows, columns
MOST_TIME = 1.7  # × the bare decode: the page's array, the digest of its file
MOST_MEMORY = 2.6  # × the decoded pixels: Pillow holds four bytes a pixel, the array three


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A noisy A4 page at 600 dpi as PNG, JPEG and grey PNG."""
    place = tmp_path_factory.mktemp("pages")
    rng = np.random.default_rng(4)
    colours = rng.integers(0, 256, (30, 3))
    cells = colours[rng.integers(0, 30, (234, 166))]
    page = np.kron(cells, np.ones((30, 30, 1), dtype=np.int64))[: A4_600[0], : A4_600[1]]
    page = np.clip(page + rng.normal(0, 3, page.shape), 0, 255).astype(np.uint8)
    Image.fromarray(page).save(place / "page.png")
    Image.fromarray(page).save(place / "page.jpg", quality=85)
    Image.fromarray(page[..., 0]).save(place / "grey.png")
    return place


@pytest.mark.parametrize("name", ["page.png", "page.jpg", "grey.png"])
def test_a_page_costs_little_more_than_its_bare_decode(folder: Path, name: str) -> None:
    path = folder / name
    bare, loaded = medians(ROUNDS, lambda: decode(path), lambda: load_page(path))
    sys.stdout.write(f"{name}: decode {bare * 1e3:.0f} ms, page {loaded / bare:.2f} times that\n")
    assert loaded <= MOST_TIME * bare


MEMORY = """
import re, sys
from pathlib import Path
import numpy
from PIL import Image
from chartscan.reading.page.page import load_page

def peak():
    # Linux: the peak of this process alone, in kB; getrusage would inherit its parent's.
    return int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) * 1024

before = peak()
page = load_page(Path(sys.argv[1]))
print((peak() - before) / page.pixels.nbytes)
"""


@pytest.mark.parametrize("name", ["page.png", "page.jpg"])
def test_a_page_takes_little_more_memory_than_the_decoder_and_itself(
    folder: Path, name: str
) -> None:
    command = [sys.executable, "-c", MEMORY, str(folder / name)]
    times = float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    sys.stdout.write(f"{name}: peak {times:.2f} times the decoded pixels\n")
    assert times <= MOST_MEMORY


def test_a_vector_chart_of_ten_thousand_cells_is_read_in_the_time_of_some_renderings(
    tmp_path: Path,
) -> None:
    from reportlab.pdfgen.canvas import Canvas

    path = tmp_path / "chart.pdf"
    canvas = Canvas(str(path), pagesize=(560, 560))
    for row, column in np.ndindex(100, 100):
        canvas.setFillColorRGB((row % 7) / 7, (column % 5) / 5, 0.5)
        canvas.rect(30 + 5 * column, 30 + 5 * row, 5, 5, stroke=0, fill=1)
    canvas.setLineWidth(0.2)
    for i in range(101):
        canvas.line(30 + 5 * i, 30, 30 + 5 * i, 530)
        canvas.line(30, 30 + 5 * i, 530, 30 + 5 * i)
    canvas.save()
    rendered, read = medians(ROUNDS, lambda: load_page(path), lambda: trace(path))
    sys.stdout.write(f"vector: rendering {rendered * 1e3:.0f} ms, reading {read * 1e3:.0f} ms\n")
    assert read <= 15 * rendered
