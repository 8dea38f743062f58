"""Small pages, and workers that are no processes, so that most tests take no time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from chartscan.archive.values import Leaf, Limits, Outcome

FILLS = ("#ffffff", "#c43e3a", "#346842", "#ecd68c")
CELL = 12  # px
EDGE = 40  # px of paper all round


def draw_page(path: Path, columns: int = 20, rows: int = 12, seed: int = 0) -> Path:
    """A clean chart: diagonal bands inside a bare frame, another one for each ``seed``."""
    row, column = np.mgrid[:rows, :columns]
    cells = (row + column + seed // 10 * row + seed % 10) // 3 % len(FILLS)
    cells[[0, -1]] = 0
    cells[:, [0, -1]] = 0
    return draw_cells(path, cells)


def draw_cells(path: Path, cells: NDArray[np.int64]) -> Path:
    """A clean chart of ``cells``, by number of its fill."""
    rows, columns = cells.shape
    image = Image.new("RGB", (columns * CELL + 2 * EDGE + 1, rows * CELL + 2 * EDGE + 1), "white")
    draw = ImageDraw.Draw(image)
    for (row, column), fill in np.ndenumerate(cells):
        x, y = EDGE + column * CELL, EDGE + row * CELL
        draw.rectangle((x, y, x + CELL - 1, y + CELL - 1), fill=FILLS[fill])
    right, bottom = EDGE + columns * CELL, EDGE + rows * CELL
    for column in range(columns + 1):
        draw.line((EDGE + column * CELL, EDGE, EDGE + column * CELL, bottom), fill="#777777")
    for row in range(rows + 1):
        draw.line((EDGE, EDGE + row * CELL, right, EDGE + row * CELL), fill="#777777")
    path.parent.mkdir(parents=True, exist_ok=True)
    image.save(path)
    return path


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A folder of four charts, one of them twice, and what else lies about in archives."""
    folder = tmp_path / "shelf"
    for number in range(4):
        draw_page(folder / f"issue-{number // 2}" / f"page-{number}.png", seed=number)
    copy = folder / "issue-0" / "page-0 copy.png"
    copy.write_bytes((folder / "issue-0" / "page-0.png").read_bytes())
    (folder / "issue-1" / "scan.jpg").write_bytes(b"\xff\xd8\xff not a picture")
    (folder / "notes.txt").write_text("read me", encoding="utf-8")
    (folder / ".thumbnails").mkdir()
    draw_page(folder / ".thumbnails" / "small.png")
    return folder


class Inline(Executor):
    """Does at once, in this process, what it is handed."""

    def __init__(self) -> None:
        self.asked: list[Leaf] = []

    def submit(  # type: ignore[override]  # all that is ever submitted here
        self, examine: Callable[[Leaf, Limits], Outcome], leaf: Leaf, limits: Limits
    ) -> Future[Outcome]:
        """Examine ``leaf`` here and now."""
        self.asked.append(leaf)
        future: Future[Outcome] = Future()
        try:
            future.set_result(examine(leaf, limits))
        except Exception as error:  # noqa: BLE001 - as an executor does
            future.set_exception(error)
        return future


class InlineCrew:
    """A crew of one that works in this process, and notes what it was asked."""

    workers = 1

    def __init__(self) -> None:
        self.executor = Inline()

    def lost(self, error: BaseException) -> bool:
        """Nothing is lost here."""
        return False

    def renew(self) -> None:
        """Nothing is lost here."""
        raise AssertionError

    def check(self) -> None:
        """Nothing is waited for here."""
        raise AssertionError

    @contextmanager
    def __call__(self) -> Iterator[InlineCrew]:
        """Itself, where a run makes its crew."""
        yield self


@pytest.fixture
def crew() -> InlineCrew:
    return InlineCrew()
