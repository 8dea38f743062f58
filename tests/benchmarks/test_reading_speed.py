"""Reading clean charts, as a multiple of what decoding the same file takes in the same process."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.reading import read_pages
from tests.benchmarks.timing import decode, medians

pytestmark = pytest.mark.benchmark

ROUNDS = 7
COLOURS = 30
# Most time, × the decode, with room for a busy machine; the goals are 1.5, 2, 3 and 3.
LIMITS = {"a4-600.png": 2.2, "a4-600.jpg": 6.0, "a4-300.png": 4.5, "million.png": 10.0}
MOST_MEMORY = 3.0  # × the decoded pixels
MOST_START = 50.0  # × python -c pass, image to counts; the goal is 20


def colours(number: int, rng: np.random.Generator) -> np.ndarray:
    """Colours at least 20 levels apart in some channel, white first."""
    steps = np.arange(15, 240, 32)
    grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    chosen = rng.permutation(len(grid))[: number - 1]
    return np.concatenate([[[255, 255, 255]], grid[chosen]]).astype(np.uint8)


def draw(columns: int, rows: int, pitch: int, number: int, margin: int) -> Image.Image:
    """A chart with thin lines, every tenth bold, in a white margin."""
    rng = np.random.default_rng(7)
    small = rng.integers(0, number, (rows // 3 + 1, columns // 3 + 1))
    cells = np.kron(small, np.ones((3, 3), np.intp))[:rows, :columns]
    cells[rng.integers(0, rows, 400), rng.integers(0, columns, 400)] = 1
    page = colours(number, rng)[np.kron(cells, np.ones((pitch, pitch), np.intp))]
    for turned in (page, page.swapaxes(0, 1)):
        turned[:, ::pitch] = 150
        turned[:, :: 10 * pitch] = 0
        turned[:, -1] = 0
    frame = ((margin, margin), (margin, margin), (0, 0))
    return Image.fromarray(np.pad(page, frame, constant_values=255))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An A4 page at 600 and 300 dpi, and a chart of a million cells."""
    place = tmp_path_factory.mktemp("charts")
    large = draw(100, 142, 47, COLOURS, 130)
    large.save(place / "a4-600.png")
    large.save(place / "a4-600.jpg", quality=90)
    draw(100, 142, 23, COLOURS, 90).save(place / "a4-300.png")
    draw(1000, 1000, 5, 150, 20).save(place / "million.png")
    draw(40, 50, 10, 12, 0).save(place / "small.png")
    return place


@pytest.mark.parametrize("name", list(LIMITS))
def test_a_clean_page_is_read_in_little_more_than_its_decode_takes(folder: Path, name: str) -> None:
    path = folder / name
    chart = read_pages([path]).chart  # also brings in what is imported once
    assert chart.columns * chart.rows in (100 * 142, 1000 * 1000)
    bare, whole = medians(ROUNDS, lambda: decode(path), lambda: read_pages([path]))
    sys.stdout.write(
        f"{name}: decode {bare * 1e3:.0f} ms, read {whole / bare:.2f} times that, "
        f"{len(chart.classes)} classes\n"
    )
    assert whole <= LIMITS[name] * bare


MEMORY = """
import re, sys
from pathlib import Path
from chartscan.reading import read_pages
from chartscan.reading.page import load_page

def peak():
    # Linux: the peak of this process alone, in kB; getrusage would inherit its parent's.
    return int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) * 1024

small, path = Path(sys.argv[1]), Path(sys.argv[2])
read_pages([small])
before = peak()
read_pages([path])
print((peak() - before) / load_page(path).pixels.nbytes)
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="peak memory is told by Linux")
@pytest.mark.parametrize("name", ["a4-600.png", "a4-600.jpg"])
def test_reading_a_page_takes_little_more_memory_than_its_pixels(folder: Path, name: str) -> None:
    command = [sys.executable, "-c", MEMORY, str(folder / "small.png"), str(folder / name)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    share = float(done.stdout)
    sys.stdout.write(f"{name}: peak memory {share:.2f} × the decoded pixels\n")
    assert share <= MOST_MEMORY


def test_a_small_chart_is_counted_at_once(folder: Path) -> None:
    def run(*args: str) -> None:
        subprocess.run([sys.executable, *args], capture_output=True, check=True)

    small = str(folder / "small.png")
    bare, count = medians(
        ROUNDS, lambda: run("-c", "pass"), lambda: run("-m", "chartscan", "count", small)
    )
    sys.stdout.write(f"count of a small chart: {count / bare:.1f} × python -c pass\n")
    assert count <= MOST_START * bare
